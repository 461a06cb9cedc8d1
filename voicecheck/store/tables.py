"""The tables of a journal. Plain column types only, so that any database will do."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Integer, MetaData, String, Table, Text

FORMAT_VERSION = 1

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
    Column("unit", String(64), nullable=False, index=True),
    Column("operator", String(64), nullable=False),
    Column("checklist", String(200), nullable=False),
    Column("checklist_version", String(64), nullable=False),
    Column("checklist_sha256", String(64), nullable=False),
    Column("started_utc", String(24), nullable=False),
    Column("last_utc", String(24), nullable=False),
    Column("head_seq", Integer, nullable=False),
    Column("head_sha256", String(64), nullable=False),
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
