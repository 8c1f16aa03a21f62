"""Studies that are open on the page, and the one thread that computes with them."""
