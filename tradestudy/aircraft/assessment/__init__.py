"""The numbers of one design that a builder or pilot needs but a search does not."""
