"""What varies the choices: optimum, fronts, span trade, conflicts, and the price of each limit."""
