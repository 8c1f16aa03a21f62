"""What the bench needs of one design: outline, cores, templates, load test, shopping list."""
