"""Units that people read and write, and their conversion to the one unit that the program uses inside."""
