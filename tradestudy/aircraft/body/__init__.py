"""The body of one wing: where everything lies inside its skin, and whether it fits."""
