"""Training of the small network; needs PyTorch, which nothing else does."""
