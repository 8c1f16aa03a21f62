"""The build sheet and the full-size templates."""
