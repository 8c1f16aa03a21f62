"""What the bench needs of one wing: outline, cores, templates, load test, shopping list."""
