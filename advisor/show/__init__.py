"""Draws a report. No logic: everything shown stands in the report."""
