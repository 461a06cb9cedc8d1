"""The trainee: guided walk, what comes next, spot and call, spaced practice.

Knows the round, the checklists, `people`, `statistics` and parts of the
report; never the commands or the server. Personal results go to `people` only.
"""
