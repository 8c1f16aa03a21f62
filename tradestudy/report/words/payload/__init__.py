"""Words about what a wing carries."""
