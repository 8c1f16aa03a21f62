"""What flights of built wings teach: of one wing, and of the wings of one type together."""
