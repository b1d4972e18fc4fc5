"""Reading a live bus by open standards."""
