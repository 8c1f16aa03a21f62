"""One look at a design: the numbers, limits, curves and drawing that a live page shows while a slider moves."""
