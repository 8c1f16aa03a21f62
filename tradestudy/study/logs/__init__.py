"""Flight logs read: columns, values, cleaning."""
