"""Where one wing may balance, what moves its balance, and how it handles."""
