"""How sure an answer is: the band of the range, what each input is worth, robust designs, fits to measurements."""
