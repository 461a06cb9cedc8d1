"""Figures of a period: shifts covered, Pareto, survival, trend, repeats, pace.

Pure: plain values in, plain values out. Imports the standard library, numpy and
scipy only, so that a database, a file or a test may be the source.
"""
