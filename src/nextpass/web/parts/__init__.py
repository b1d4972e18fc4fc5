"""Parts that take a record and callbacks, never the book."""
