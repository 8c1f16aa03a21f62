"""Result in; tables, figures and the page out. Never runs a model."""
