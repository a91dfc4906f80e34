"""The virtual bike against the world outside, against itself, and against the clock."""
