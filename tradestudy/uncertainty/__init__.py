"""How sure an answer is: bands of the inputs, random draws, robust designs, and fits to measurements."""
