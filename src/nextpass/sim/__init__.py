"""One pass of a fitted car in about a millisecond."""
