"""Numbers to words, tables and pictures. Takes finished numbers, rounds, labels and draws them."""
