"""Doubles of the ports, for tests and simulations. They pass the same contracts."""
