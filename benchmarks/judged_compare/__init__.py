"""Comparisons judged: groups of clocks with a known effect, and whole logs of the proving ground."""
