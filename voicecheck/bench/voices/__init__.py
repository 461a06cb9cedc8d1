"""Free synthetic voices, and recordings, behind one interface."""
