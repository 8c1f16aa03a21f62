"""Files beside a study: CSV rows, propellers, airfoil names."""
