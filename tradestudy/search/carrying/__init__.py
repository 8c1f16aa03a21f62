"""What a wing carries: a payload on board, and the largest one with which it meets every limit."""
