"""The journal: walks, their entries, records and checklists.

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
    """Make the tables of a new journal, of format 1."""
    journal_format = op.create_table(
        "journal_format",
        sa.Column("version", sa.Integer(), primary_key=True, autoincrement=False),
    )
    op.bulk_insert(journal_format, [{"version": 1}])
    op.create_table(
        "walks",
        sa.Column("walk_id", sa.String(36), primary_key=True),
        sa.Column("unit", sa.String(64), nullable=False),
        sa.Column("operator", sa.String(64), nullable=False),
        sa.Column("checklist", sa.String(200), nullable=False),
        sa.Column("checklist_version", sa.String(64), nullable=False),
        sa.Column("checklist_sha256", sa.String(64), nullable=False),
        sa.Column("started_utc", sa.String(24), nullable=False),
        sa.Column("last_utc", sa.String(24), nullable=False),
        sa.Column("head_seq", sa.Integer(), nullable=False),
        sa.Column("head_sha256", sa.String(64), nullable=False),
    )
    op.create_index("ix_walks_unit", "walks", ["unit"])
    op.create_table(
        "entries",
        sa.Column(
            "walk_id", sa.String(36), sa.ForeignKey("walks.walk_id"), primary_key=True
        ),
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("at_utc", sa.String(24), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("previous_sha256", sa.String(64), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
    )
    op.create_table(
        "records",
        sa.Column(
            "record_id", sa.String(36), sa.ForeignKey("walks.walk_id"), primary_key=True
        ),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("content_sha256", sa.String(64), nullable=False),
        sa.Column("file_sha256", sa.String(64), nullable=False),
        sa.Column("status", sa.String(20), nullable=False),
        sa.Column("outcome", sa.String(40), nullable=False),
        sa.Column("head_seq", sa.Integer(), nullable=False),
        sa.Column("head_sha256", sa.String(64), nullable=False),
    )
    op.create_table(
        "checklists",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("text", sa.Text(), nullable=False),
    )


def downgrade() -> None:
    """Refuse: taking the tables away would lose records."""
    raise NotImplementedError("records are not thrown away; restore a backup instead")
