"""Lattice, lateral derivatives, trim, drag and small motions of the rigid wing."""
