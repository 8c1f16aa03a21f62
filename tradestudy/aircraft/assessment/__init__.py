"""Every number of one design that a builder or pilot needs and a search does not."""
