"""What a person can ask for, one function each: the Python interface."""
