"""Ranks causes: a two-layer noisy-OR network and its exact posterior. Pure Python."""
