"""The search: the optimum of each choice (set of parts), fronts, the span trade, conflicts, and prices of limits."""
