"""A study opened for a live page: one look at a wing, what follows it, what may be moved, and wings that were found."""
