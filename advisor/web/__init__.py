"""Sessions as pages on the local machine, for a phone or a tablet on the bench.

The same dialogue as on the terminal: a form sends one line, its records are drawn as a page. Without the small script
everything works too.
"""
