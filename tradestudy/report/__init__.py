"""Words, figures, tables, page and build sheet made from a result. Never runs a model."""
