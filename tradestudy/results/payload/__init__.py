"""The result of the command payload."""
