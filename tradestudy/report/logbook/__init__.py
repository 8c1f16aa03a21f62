"""Words and pages about the logbook: the card of the day."""
