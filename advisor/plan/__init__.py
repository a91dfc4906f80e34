"""Chooses the next check: which can be done here, what each result would mean, bits per minute."""
