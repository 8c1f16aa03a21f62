"""Rods in foam: stiffness, loads, the beam, and how each part fails."""
