"""The pure core of a walkaround: no sound, no files, no clock.

Start with `checklist` (what is asked), `answers` (what may be answered),
`probing` (which question comes next at one checkpoint), `walk` (the state
machine of the whole round), `decision` (may the machine work?) and `record`.

Imports the standard library, `transitions` and itself, nothing else.
"""
