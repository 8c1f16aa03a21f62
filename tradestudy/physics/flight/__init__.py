"""One design as a chain of stages: layout, trimmed flight, level drag, strength, control, power."""
