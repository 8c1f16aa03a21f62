"""Wing sections: outlines, named and drawn, and their tables of lift and drag."""
