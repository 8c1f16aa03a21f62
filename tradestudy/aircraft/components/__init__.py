"""Doors from OpenMDAO to physics; `aircraft.py` is the page to read first."""
