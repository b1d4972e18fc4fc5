"""Parts of pages: each takes a record and callbacks, never the book."""
