"""The model fitted to everything that was measured: readings, logs, factors, and what to measure next."""
