"""Pages about nextpass: written ones, and those that `make docs` makes from the code."""
