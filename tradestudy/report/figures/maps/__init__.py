"""Maps and lines of grids, and range over payload."""
