"""Files that a study names, in its own folder: propellers and airfoils."""
