"""What a live page shows of one wing while it is changed: a look, what follows it, and what may be changed."""
