"""The wing that bends and twists under load: control, divergence, reversal, flutter, hinge and servo."""
