"""Doors from OpenMDAO to the stages of `aircraft.model.evaluation`; `aircraft.py` puts them together."""
