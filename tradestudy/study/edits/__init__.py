"""Changes of single keys of a study by their dotted names, without a change of its file."""
