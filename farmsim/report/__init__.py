"""Numbers to words, tables and pictures. Takes finished numbers, formats, computes nothing."""
