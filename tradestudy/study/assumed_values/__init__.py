"""What a study leaves open, filled in by rules, each with its band."""
