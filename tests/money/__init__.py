"""What the farm takes in and pays."""
