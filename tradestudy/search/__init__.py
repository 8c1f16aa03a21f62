"""The search: optimum of each choice, fronts, the span trade, conflicts, and the price of each limit."""
