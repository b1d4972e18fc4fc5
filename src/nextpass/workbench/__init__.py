"""Sums of the day before: one each, showing its work."""
