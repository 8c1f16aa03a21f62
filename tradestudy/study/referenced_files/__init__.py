"""Checks of the propeller and airfoil files that a study names. They are in the folder of the study."""
