"""The study's wing as a model: its data, its chain, tied to the stock wing, every number of one design."""
