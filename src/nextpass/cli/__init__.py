"""The command line: it asks, shows and translates."""
