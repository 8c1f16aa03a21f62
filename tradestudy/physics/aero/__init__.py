"""The air on a rigid wing: lattice, trim, lateral derivatives, drag, small motions."""
