"""Masses, inertias, and the dimensions of a pack."""
