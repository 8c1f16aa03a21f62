"""The wing's shape: its outline, breaks in the outline, fins, and the mesh of the vortex lattice."""
