"""A small network of our own that knows the command words, in NumPy."""
