"""Files that a study names and that stand beside it: propellers and airfoils."""
