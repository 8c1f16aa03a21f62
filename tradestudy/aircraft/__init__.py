"""The aircraft: a study as a model, calibrated against the stock wing, and every number of one design."""
