"""The wing that bends and twists: control that remains, divergence, reversal, flutter, hinge and servo."""
