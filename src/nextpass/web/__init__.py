"""The pages: they ask, show and translate."""
