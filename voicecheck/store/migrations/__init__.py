"""How the tables came to be, step by step, for Alembic. `voicecheck.store.schema`
runs them; each file under `versions` is one step and is never changed again.
"""
