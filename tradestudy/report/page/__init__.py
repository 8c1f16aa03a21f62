"""The report as a single HTML page."""
