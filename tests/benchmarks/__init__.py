"""Speed and memory; and the twin, a small farm written again in plain SimPy, which comes to the same totals."""
