"""Flight logs: track, steady stretches, wind."""
