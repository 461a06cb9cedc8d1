"""The journal: every confirmed event, kept durably in an order that shows tampering.

`ports` names what is asked of a journal, `journal` keeps it in SQLite,
`session` ties a walk, a journal and a clock together. May import
`voicecheck.round` and `voicecheck.record`.
"""
