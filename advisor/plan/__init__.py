"""Chooses the next check: what can be done here, what each result would mean, bits per minute."""
