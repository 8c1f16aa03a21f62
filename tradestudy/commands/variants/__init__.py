"""Many variants of one study, from a table or a sample, answered row by row."""
