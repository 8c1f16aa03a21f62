"""The wing's shape: planform, its kinks, fins and the lattice mesh."""
