"""Reading of flight logs, in three steps: split text into rows, convert columns to numbers, remove wrong values."""
