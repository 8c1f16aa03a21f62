"""The terminal: one file per command; ``app`` puts them together."""
