"""Grids whose axes are keys of the study: every combination of their values is a study of its own."""
