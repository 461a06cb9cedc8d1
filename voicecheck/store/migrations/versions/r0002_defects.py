"""Defects with their stories, the fleet list, texts of records, what was purged.

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables; a program that does not know them must keep its hands off."""
    op.create_table(
        "record_texts",
        sa.Column(
            "record_id",
            sa.String(36),
            sa.ForeignKey("records.record_id"),
            primary_key=True,
        ),
        sa.Column("text", sa.Text(), nullable=False),
    )
    _defects()
    op.create_table(
        "units",
        sa.Column("unit", sa.String(64), primary_key=True),
        sa.Column("checklist", sa.String(200), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("hour_meter_h", sa.Float()),
        sa.Column("hour_meter_utc", sa.String(24)),
    )
    op.create_table(
        "purged",
        sa.Column("walk_id", sa.String(36), primary_key=True),
        sa.Column("unit", sa.String(64), nullable=False),
        sa.Column("started_utc", sa.String(24), nullable=False),
        sa.Column("head_sha256", sa.String(64), nullable=False),
        sa.Column("purged_utc", sa.String(24), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
    )
    op.create_index("ix_walks_unit_started", "walks", ["unit", "started_utc"])
    op.create_index("ix_walks_started", "walks", ["started_utc"])
    op.execute(
        "INSERT INTO units (unit, checklist, title, place) "
        "SELECT unit, min(checklist), '', '' FROM walks GROUP BY unit"
    )
    op.execute("UPDATE journal_format SET version = 2")


def _defects() -> None:
    op.create_table(
        "defects",
        sa.Column("defect_id", sa.String(36), primary_key=True),
        sa.Column("unit", sa.String(64), nullable=False),
        sa.Column("checkpoint_id", sa.String(200), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("severity", sa.String(20), nullable=False),
        sa.Column("severity_rank", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("holding", sa.Boolean(), nullable=False),
        sa.Column("found_utc", sa.String(24), nullable=False),
        sa.Column("found_by", sa.String(64), nullable=False),
        sa.Column("last_utc", sa.String(24), nullable=False),
        sa.Column("closed_utc", sa.String(24)),
        sa.Column("sightings", sa.Integer(), nullable=False),
        sa.Column("conflict", sa.Boolean(), nullable=False),
        sa.Column("heads", sa.Text(), nullable=False),
    )
    op.create_index(
        "ix_defects_open", "defects", ["closed_utc", "severity_rank", "found_utc"]
    )
    op.create_index(
        "ix_defects_unit", "defects", ["unit", "closed_utc", "checkpoint_id"]
    )
    op.create_table(
        "defect_events",
        sa.Column(
            "defect_id",
            sa.String(36),
            sa.ForeignKey("defects.defect_id"),
            primary_key=True,
        ),
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("at_utc", sa.String(24), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("previous", sa.Text(), nullable=False),
    )


def downgrade() -> None:
    """Refuse: taking the tables away would lose defects."""
    raise NotImplementedError("defects are not thrown away; restore a backup instead")
