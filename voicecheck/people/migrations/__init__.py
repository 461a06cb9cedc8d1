"""How the tables of personal results came to be, step by step, for Alembic.

`voicecheck.people.schema` runs them; each file under `versions` is one step and is
never changed again.
"""
