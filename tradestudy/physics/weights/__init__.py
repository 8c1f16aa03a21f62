"""Masses, inertias, and the size of a pack."""
