"""The fit of the model to all measurements: readings, logs, factors, and what to measure next."""
