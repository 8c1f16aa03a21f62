"""Rules that compare several keys of a study. Each rule yields error messages."""
