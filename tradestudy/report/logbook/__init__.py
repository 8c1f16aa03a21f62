"""Words and pages about the logbook: what a flight says, and the card of the day."""
