"""Values for the keys that a study leaves open, from rules, each with its band."""
