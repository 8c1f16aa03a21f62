"""The report: it turns a Result into words, figures, tables, a page and a build sheet, and never runs a model."""
