"""OpenMDAO components around the stages of `aircraft.model.evaluation`. `aircraft.py` connects them."""
