"""Words, pages and sheets about flights and built wings: notes, the card of the day, the club."""
