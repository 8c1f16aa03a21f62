"""The uncertainty of results: bands, the effect of each input, robust designs, and fits to measurements."""
