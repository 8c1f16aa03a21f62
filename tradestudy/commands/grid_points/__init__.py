"""The points of a grid: their fields, and the search at each of them."""
