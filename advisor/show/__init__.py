"""Draws a report. No logic: everything shown is in the report."""
