"""What Alembic runs: all steps on the connection that it is given."""

from __future__ import annotations

from alembic import context

from voicecheck.people.tables import VERSION_TABLE, metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=VERSION_TABLE,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
