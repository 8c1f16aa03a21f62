"""Commands that use the logbook of a study."""
