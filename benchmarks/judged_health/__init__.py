"""Health judged: trouble codes of faults that were put in, and seasons with and without wear."""
