"""Card and report on paper and as one page."""
