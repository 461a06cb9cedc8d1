"""The commands. The only rooms that print and that pick adapters.

`main` puts the commands together; each has a module of its own.
"""
