"""The numbers of a Result as sentences and table rows."""
