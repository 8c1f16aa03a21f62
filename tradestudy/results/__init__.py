"""What was worked out, as plain data: all that a report needs to know."""
