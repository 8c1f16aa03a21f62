"""The tables and keys that a study file, a measurements file or a fitted overlay may hold."""
