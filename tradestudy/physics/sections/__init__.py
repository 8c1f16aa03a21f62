"""Wing sections: outlines by name, file or measurement, and their tables of lift and drag."""
