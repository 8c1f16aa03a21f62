"""Fronts of several quantities over all builds: sets of parts, numbers of rod lengths, and panels that are kept."""
