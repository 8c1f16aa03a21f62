"""Every number of one design that a builder asks for, beyond what a search needs."""
