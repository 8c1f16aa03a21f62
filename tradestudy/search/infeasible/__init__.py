"""Studies without a feasible design: which limits conflict, and what to change."""
