"""What the farm is: every figure typed, checked, with its unit and its source."""
