"""How the farm works: one run, from an empty calendar to a record. `run.py` is the place to begin reading."""
