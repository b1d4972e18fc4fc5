"""The records of every car and pass."""
