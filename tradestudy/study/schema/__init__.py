"""Where a file key is added: which tables and keys a study file, a measurements file or a fitted file may hold."""
