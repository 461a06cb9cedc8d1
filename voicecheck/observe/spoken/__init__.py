"""Marking by voice, with the assessor's own headset.

`words` is what may be said, `policy` what is taken, `marking` turns a word into
an event and a short read-back, `listening` runs it on a sound link.
"""
