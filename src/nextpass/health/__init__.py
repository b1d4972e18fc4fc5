"""What wears, drifts and breaks."""
