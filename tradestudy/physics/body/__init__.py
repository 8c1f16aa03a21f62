"""The body of the wing: its outer skin, and everything inside it with a place in three dimensions."""
