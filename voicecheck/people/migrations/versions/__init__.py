"""One file for each step, named after its number."""
