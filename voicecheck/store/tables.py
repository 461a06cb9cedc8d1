"""The tables of a journal. Plain column types only, so that any database will do."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

FORMAT_VERSION = 2

metadata = MetaData()

journal_format = Table(
    "journal_format",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
)

walks = Table(
    "walks",
    metadata,
    Column("walk_id", String(36), primary_key=True),
    Column("unit", String(64), nullable=False),
    Column("operator", String(64), nullable=False),
    Column("checklist", String(200), nullable=False),
    Column("checklist_version", String(64), nullable=False),
    Column("checklist_sha256", String(64), nullable=False),
    Column("started_utc", String(24), nullable=False),
    Column("last_utc", String(24), nullable=False),
    Column("head_seq", Integer, nullable=False),
    Column("head_sha256", String(64), nullable=False),
    # with the id a page is found, counted and left out in the index alone
    Index("ix_walks_unit_newest", "unit", "started_utc", "walk_id"),
    Index("ix_walks_newest", "started_utc", "walk_id"),
)

entries = Table(
    "entries",
    metadata,
    Column("walk_id", String(36), ForeignKey("walks.walk_id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("at_utc", String(24), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("payload", Text, nullable=False),
    Column("previous_sha256", String(64), nullable=False),
    Column("sha256", String(64), nullable=False),
)

records = Table(
    "records",
    metadata,
    Column("record_id", String(36), ForeignKey("walks.walk_id"), primary_key=True),
    Column("path", Text, nullable=False),
    Column("content_sha256", String(64), nullable=False),
    Column("file_sha256", String(64), nullable=False),
    Column("status", String(20), nullable=False),
    Column("outcome", String(40), nullable=False),
    Column("head_seq", Integer, nullable=False),
    Column("head_sha256", String(64), nullable=False),
)

checklists = Table(
    "checklists",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("text", Text, nullable=False),
)

record_texts = Table(
    "record_texts",
    metadata,
    Column("record_id", String(36), ForeignKey("records.record_id"), primary_key=True),
    Column("text", Text, nullable=False),
)
"""The very bytes of each record's file, for those who do not have the file."""

defects = Table(
    "defects",
    metadata,
    Column("defect_id", String(36), primary_key=True),
    Column("unit", String(64), nullable=False),
    Column("checkpoint_id", String(200), nullable=False),
    Column("title", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("severity", String(20), nullable=False),
    Column("severity_rank", Integer, nullable=False),
    Column("state", String(20), nullable=False),
    Column("holding", Boolean, nullable=False),
    Column("found_utc", String(24), nullable=False),
    Column("found_by", String(64), nullable=False),
    Column("last_utc", String(24), nullable=False),
    Column("closed_utc", String(24)),
    Column("sightings", Integer, nullable=False),
    Column("conflict", Boolean, nullable=False),
    Column("heads", Text, nullable=False),
    Index("ix_defects_open", "closed_utc", "severity_rank", "found_utc"),
    Index("ix_defects_unit", "unit", "closed_utc", "checkpoint_id"),
    Index("ix_defects_found", "found_utc"),
)
"""Where each defect stands: a view of its events, made again after each one."""

defect_events = Table(
    "defect_events",
    metadata,
    Column("defect_id", String(36), ForeignKey("defects.defect_id"), primary_key=True),
    Column("sha256", String(64), primary_key=True),
    Column("seq", Integer, nullable=False),
    Column("at_utc", String(24), nullable=False),
    Column("by", String(64), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("payload", Text, nullable=False),
    Column("previous", Text, nullable=False),
)

units = Table(
    "units",
    metadata,
    Column("unit", String(64), primary_key=True),
    Column("checklist", String(200), nullable=False),
    Column("title", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("hour_meter_h", Float),
    Column("hour_meter_utc", String(24)),
)
"""The fleet list: which machines there are, walked or not."""

purged = Table(
    "purged",
    metadata,
    Column("walk_id", String(36), primary_key=True),
    Column("unit", String(64), nullable=False),
    Column("started_utc", String(24), nullable=False),
    Column("head_sha256", String(64), nullable=False),
    Column("purged_utc", String(24), nullable=False),
    Column("reason", Text, nullable=False),
)
"""What was thrown away by the rules of keeping, so that nobody misses it."""
