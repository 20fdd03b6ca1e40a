"""What the farm takes in and pays: from the record of one run and the farm's prices to dated lines and tables."""
