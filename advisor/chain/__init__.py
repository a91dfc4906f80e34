"""Forward chaining: the facts of a case in, signs and evidence out, with every firing kept."""
