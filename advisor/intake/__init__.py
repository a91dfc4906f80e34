"""User input, checked and typed: a case file becomes a `Case`, or every mistake at once."""
