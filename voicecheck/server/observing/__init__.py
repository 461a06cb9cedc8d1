"""Observations as the pages need them: marks that come in batches, and the plan of a
walk that a tablet keeps while there is no connection.
"""
