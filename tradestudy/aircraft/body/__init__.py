"""The body of one design: its skin, the parts in it and on it as solids, and the foam that is left."""
