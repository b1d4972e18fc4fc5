"""Figures with their floors, measured in the same run. `make bench` runs them all."""
