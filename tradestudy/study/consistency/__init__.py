"""Rules across the keys of a study."""
