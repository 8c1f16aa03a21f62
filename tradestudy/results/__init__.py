"""Results as plain data: all that a report needs."""
