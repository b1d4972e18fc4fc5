"""Every text that a person reads, one key each, in each language."""
