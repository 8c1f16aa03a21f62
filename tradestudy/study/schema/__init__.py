"""Which tables and keys a study file, a measurements file or a fitted file may hold."""
