"""Figures of a period and of a person's walk: shares, order, agreement, detection.

Pure: plain values in, plain values out. Imports the standard library, numpy, scipy
and RapidFuzz only, so that a database, a file or a test may be the source.

Of a period: shifts covered, Pareto, survival, trend, repeats, pace. Of people:
`proportions` (a share and how many would be needed), `detection` (d' and
criterion), `agreement` (kappa), `ordering` (Kendall's tau, edit steps), `items`
(what a course tells about its items), `rasch` (how hard they are, whoever took it).
"""
