"""Doors from OpenMDAO to the physics: they declare variables and pass numbers; they compute nothing themselves."""
