"""From the words of a study to the arrays of the physics, and the chain that evaluates them."""
