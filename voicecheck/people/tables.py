"""The tables of personal results. Their names stand apart from a journal's."""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Index, Integer, MetaData, String, Table, Text

VERSION_TABLE = "people_version"
"""Where Alembic marks the step, so that a database may hold a journal as well."""

metadata = MetaData()

people = Table(
    "people",
    metadata,
    Column("person_id", String(64), primary_key=True),
    Column("roles", String(100), nullable=False),
    Column("registered_utc", String(24), nullable=False),
    Column("registered_by", String(64), nullable=False),
)

codes = Table(
    "people_codes",
    metadata,
    Column("person_id", String(64), primary_key=True),
    Column("salt", String(64), nullable=False),
    Column("hash", String(128), nullable=False),
    Column("failures", Integer, nullable=False),
    Column("next_try_utc", String(24), nullable=False),
)

events = Table(
    "people_events",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("key", String(36), nullable=False, unique=True),
    Column("subject", String(64), nullable=False),
    Column("kind", String(100), nullable=False),
    Column("thread", String(36), nullable=False),
    Column("at_utc", String(40), nullable=False),
    Column("by", String(64), nullable=False),
    Column("body", Text, nullable=False),
    Column("state", String(10), nullable=False),
    Index("ix_people_events_subject", "subject", "kind"),
    Index("ix_people_events_thread", "thread"),
)

looks = Table(
    "people_looks",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("reader", String(64), nullable=False),
    Column("subject", String(64), nullable=False),
    Column("what", String(200), nullable=False),
    Column("at_utc", String(24), nullable=False),
    Column("allowed", Boolean, nullable=False),
    Index("ix_people_looks_subject", "subject"),
)

erasures = Table(
    "people_erasures",
    metadata,
    Column("pseudonym", String(64), primary_key=True),
    Column("at_utc", String(24), nullable=False),
    Column("by", String(64), nullable=False),
    Column("events", Integer, nullable=False),
)
