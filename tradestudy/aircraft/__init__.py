"""A study as a model of its aircraft, calibrated against the stock wing, and every number of one design."""
