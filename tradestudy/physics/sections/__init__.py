"""Wing sections: outlines by name, from a file or from measurements, and their tables of lift and drag."""
