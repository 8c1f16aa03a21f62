"""How uncertain an answer is: its bands, the effect of each input, robust designs, and fits to measurements."""
