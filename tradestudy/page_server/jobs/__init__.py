"""Long work in processes of its own: searches, sheets, cards and notes."""
