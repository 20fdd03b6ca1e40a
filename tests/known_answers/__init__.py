"""Published and exact answers that the farm's pieces must give, each with its source."""
