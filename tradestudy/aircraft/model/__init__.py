"""The data of a study's model, and the chain that evaluates designs with it."""
