"""How people write values, and where in the file each key stands."""
