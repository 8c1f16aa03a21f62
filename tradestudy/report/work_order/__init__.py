"""The order of the work on the bench: headings with steps to tick, and what stays in panels that have flown."""
