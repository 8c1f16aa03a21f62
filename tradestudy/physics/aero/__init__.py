"""The air on a rigid wing: vortex lattice, trim, lateral derivatives, drag, small motions."""
