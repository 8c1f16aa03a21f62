"""Rules that assume a value and its band for each key that a study leaves open."""
