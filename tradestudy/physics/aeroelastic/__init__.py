"""The wing that twists and swings: control left, divergence, reversal, flutter."""
