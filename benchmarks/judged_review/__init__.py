"""What `review_accuracy` runs: passes of the proving ground with sensors and faults of all sorts, and its tables."""
