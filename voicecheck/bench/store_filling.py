"""Put an invented fleet into a store, fast, and go on where it was cut off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import chain, islice
from typing import Any

from sqlalchemy import Connection, Table, func, select, text

from voicecheck.bench.store_patterns import patterns
from voicecheck.bench.store_rows import Rows, Shape, fleet_rows, walk_rows
from voicecheck.checklists.loader import load
from voicecheck.errors import UsageError
from voicecheck.round.checklist import Checklist
from voicecheck.store import tables
from voicecheck.store.database import Database

BATCH = 250
"""Walks in one transaction: about 26,000 rows."""


def fill(
    store: Database,
    shape: Shape,
    *,
    checklist: Checklist | None = None,
    tell: Callable[[int], None] = lambda _: None,
) -> int:
    """Fill an empty store, or go on with one that was filled in part.

    Args:
        store: takes what is invented; each batch is one transaction.
        shape: of the fleet.
        checklist: of the walks; None: the wheel loader's.
        tell: is told how many walks are stored.

    Returns:
        How many walks were there already.

    Raises:
        UsageError: there is something else in the store.
    """
    done = already(store, shape)
    if done == shape.walks:
        return done
    made = patterns(checklist or load("wheel-loader"))
    new = walk_rows(shape, made, done)
    if not done:
        new = chain([fleet_rows(shape, made[0].checklist_text)], new)
    while batch := list(islice(new, BATCH)):
        _write(store, batch)
        tell(already(store, shape))
    with store.writing() as connection:
        connection.execute(text("ANALYZE"))
    return done


def already(store: Database, shape: Shape) -> int:
    """Return how many walks of this very fleet a store has.

    Raises:
        UsageError: there is something else in it.
    """
    walks = tables.walks
    with store.reading() as connection:
        count = connection.execute(select(func.count()).select_from(walks)).scalar_one()
        ids = [shape.walk_id(0), shape.walk_id(max(0, count - 1))]
        query = select(walks.c.unit).where(walks.c.walk_id.in_(ids))
        found = set(connection.execute(query).scalars())
        listed = connection.execute(
            select(func.count()).select_from(tables.units)
        ).scalar_one()
    if not count and not listed:
        return 0
    ours = {shape.unit(0), shape.unit(max(0, count - 1))}
    if count > shape.walks or found != ours or listed != shape.units:
        raise UsageError(
            f"{store.place} holds something else than these invented walks; they go "
            "into a store of their own, with the same --walks and --units each time"
        )
    return int(count)


def _write(store: Database, batch: Iterable[Rows]) -> None:
    found: defaultdict[Table, list[Sequence[Any]]] = defaultdict(list)
    for each in batch:
        for table, row in each:
            found[table].append(row)
    with store.writing() as connection:
        for table in tables.metadata.sorted_tables:
            if found[table]:
                _put(connection, table, found[table])


def _put(connection: Connection, table: Table, found: Sequence[Sequence[Any]]) -> None:
    """Insert past SQLAlchemy, which would take most of the time."""
    columns = ", ".join(f'"{column.name}"' for column in table.columns)
    cursor = connection.connection.cursor()
    if connection.dialect.name == "postgresql":
        with cursor.copy(f"COPY {table.name} ({columns}) FROM STDIN") as copy:
            for row in found:
                copy.write_row(row)
        return
    marks = ", ".join("?" * len(table.columns))
    cursor.executemany(
        f"INSERT INTO {table.name} ({columns}) VALUES ({marks})",  # noqa: S608
        found,
    )
