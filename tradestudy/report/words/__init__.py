"""Numbers of a result as sentences and table rows."""
