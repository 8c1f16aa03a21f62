"""Commands about what a wing carries: range over payload, and pack against payload."""
