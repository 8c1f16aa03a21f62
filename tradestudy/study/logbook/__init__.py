"""The logbook of flights beside a study, and the wings that were built. No model here."""
