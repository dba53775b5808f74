"""What factories made: makers, lines, forms, marks, numbers, and what is said of each."""
