"""A defect from the day it is found to the day its repair is checked.

Pure: events in, a state out; no files but its own texts, no database, no clock.
Start reading at `events`, then `story`, which folds events into a `Defect`, and
`steps`, which says what may happen next. May import `voicecheck.round.answers`, the
canonical JSON of `voicecheck.record` and the errors.
"""
