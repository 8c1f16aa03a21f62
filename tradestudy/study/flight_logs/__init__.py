"""Read flight logs: text to rows, rows to columns of numbers, columns cleaned."""
