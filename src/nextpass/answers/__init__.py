"""What leaves the program, by the contract."""
