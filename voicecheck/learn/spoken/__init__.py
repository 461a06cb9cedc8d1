"""Practice by voice: what may be said at a question, and the turns around it.

`names` says how a zone or a point may be called, `listening` puts the active
set of a question together, `conversation` takes what was heard, `runner` plays
it on a sound link. Which session it is makes no difference.
"""
