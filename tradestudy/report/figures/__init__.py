"""Every figure: a function of a result each."""
