"""Range and time on one charge, missions, and ground speed in wind."""
