"""The command line. Each command has a file of its own, and ``app`` assembles the application from them."""
