"""Walks in a browser: the typed walk, one page at a time.

`sitting` holds one walk that is in hand, `sittings` all of them, `screen` works
out what the page of a walk shows.
"""
