"""What a builder needs for one design: outline, cores, templates, load test, shopping list."""
