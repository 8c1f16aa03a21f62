"""The shape of a study's stock wing, and whether everything fits inside its skin."""
