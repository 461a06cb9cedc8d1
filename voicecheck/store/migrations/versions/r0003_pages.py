"""Indexes that hold a page of walks, and defects by when they were found.

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Replace the indexes of walks by ones that carry the id as well."""
    op.create_index("ix_walks_unit_newest", "walks", ["unit", "started_utc", "walk_id"])
    op.create_index("ix_walks_newest", "walks", ["started_utc", "walk_id"])
    for name in ("ix_walks_unit", "ix_walks_unit_started", "ix_walks_started"):
        op.drop_index(name, "walks")
    op.create_index("ix_defects_found", "defects", ["found_utc"])


def downgrade() -> None:
    """Refuse, as every step does; see the first one."""
    raise NotImplementedError("a store is not taken back; restore a backup instead")
