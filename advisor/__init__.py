"""Fault finding and tune-up advice for an air-cooled opposed twin with one CV carburettor a side."""
