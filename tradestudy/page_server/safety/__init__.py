"""Who may ask the server, how much, and which files a request may reach."""
