"""What must hold between runs: sums, order of insertion, luck by name, changes at a date."""
