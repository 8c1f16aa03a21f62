"""Flight logs read: text to rows, columns by their headings, values, cleaning."""
