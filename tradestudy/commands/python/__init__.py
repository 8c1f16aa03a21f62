"""Functions that are for Python alone, or whose command line needs more than one of them."""
