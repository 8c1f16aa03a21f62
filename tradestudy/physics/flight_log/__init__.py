"""What a flight log says: path, steady stretches, wind."""
