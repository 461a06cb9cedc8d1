"""People, their access codes, events, looks and erasures.

Revision ID: 0001
Revises: nothing
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "people",
        sa.Column("person_id", sa.String(64), primary_key=True),
        sa.Column("roles", sa.String(100), nullable=False),
        sa.Column("registered_utc", sa.String(24), nullable=False),
        sa.Column("registered_by", sa.String(64), nullable=False),
    )
    op.create_table(
        "people_codes",
        sa.Column("person_id", sa.String(64), primary_key=True),
        sa.Column("salt", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(128), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("next_try_utc", sa.String(24), nullable=False),
    )
    op.create_table(
        "people_events",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("key", sa.String(36), nullable=False, unique=True),
        sa.Column("subject", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(100), nullable=False),
        sa.Column("thread", sa.String(36), nullable=False),
        sa.Column("at_utc", sa.String(40), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
    )
    op.create_index("ix_people_events_subject", "people_events", ["subject", "kind"])
    op.create_index("ix_people_events_thread", "people_events", ["thread"])
    op.create_table(
        "people_looks",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("reader", sa.String(64), nullable=False),
        sa.Column("subject", sa.String(64), nullable=False),
        sa.Column("what", sa.String(200), nullable=False),
        sa.Column("at_utc", sa.String(24), nullable=False),
        sa.Column("allowed", sa.Boolean(), nullable=False),
    )
    op.create_index("ix_people_looks_subject", "people_looks", ["subject"])
    op.create_table(
        "people_erasures",
        sa.Column("pseudonym", sa.String(64), primary_key=True),
        sa.Column("at_utc", sa.String(24), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("events", sa.Integer(), nullable=False),
    )


def downgrade() -> None:
    """Refuse: taking the tables away would lose results."""
    raise NotImplementedError("results are not thrown away; restore a backup instead")
