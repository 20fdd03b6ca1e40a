"""What was seen in one run: the journal, the record read from it, and the only definition of every measure."""
