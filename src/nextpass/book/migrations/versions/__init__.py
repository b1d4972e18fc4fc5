"""Steps from one schema of the book to the next."""
