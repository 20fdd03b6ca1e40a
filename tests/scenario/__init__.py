"""What a farm's file may say, what is read from it, and what is said about every fault."""
