"""The car as its passes show it, with what is not known."""
