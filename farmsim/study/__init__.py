"""Many runs of a farm: shared out, put side by side, and summed up in plain numbers for the report."""
