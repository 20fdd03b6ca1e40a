"""The engine and the stages: tiny farms, run, their whole log compared with a literal list."""
