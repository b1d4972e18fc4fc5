"""One module a file format, all mapped onto the same channels."""
