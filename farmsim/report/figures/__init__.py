"""One picture a file. Each takes finished numbers and returns a matplotlib figure."""
