"""Open defects page by page: filtered, searched, and in order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, select

from voicecheck.defects.story import Defect
from voicecheck.round.answers import Severity
from voicecheck.store.defect_rows import defect_row
from voicecheck.store.tables import defects


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectPage:
    """Some of the open defects."""

    defects: tuple[Defect, ...]
    found: int
    """How many the filters let through, on this page and others."""
    total: int
    """How many are open, whatever the other filters say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which open defects to show, and in which order."""

    unit: str | None = None
    severity: Severity | None = None
    search: str = ""
    """Part of unit, title or words; capitals do not matter."""
    oldest_first: bool = False
    """Otherwise the worst come first, and among them the oldest."""


def open_page(
    connection: Connection, wanted: Wanted, limit: int, offset: int = 0
) -> DefectPage:
    """Return one page of open defects.

    Args:
        connection: to the store.
        wanted: which, and in which order.
        limit: at most so many on the page.
        offset: leave so many out.
    """
    is_open: list[ColumnElement[bool]] = [defects.c.closed_utc.is_(None)]
    if wanted.unit is not None:
        is_open.append(defects.c.unit == wanted.unit)
    total = _count(connection, is_open)
    chosen = list(is_open)
    if wanted.severity is not None:
        chosen.append(defects.c.severity_rank == wanted.severity.rank)
    if wanted.search.strip():
        ids = _searched(connection, chosen, wanted)
        found = len(ids)
        page_of = [defects.c.defect_id.in_(ids[offset : offset + limit])]
        query = select(defects).where(*page_of).order_by(*_order(wanted))
    else:
        found = total if chosen == is_open else _count(connection, chosen)
        query = select(defects).where(*chosen).order_by(*_order(wanted))
        query = query.limit(limit).offset(offset)
    rows = connection.execute(query).all()
    return DefectPage(
        defects=tuple(defect_row(row) for row in rows), found=found, total=total
    )


def _searched(
    connection: Connection, chosen: list[ColumnElement[bool]], wanted: Wanted
) -> list[str]:
    """Ids in order. Databases fold capitals each in their way, so we do it."""
    part = wanted.search.strip().casefold()
    column = defects.c
    query = select(column.defect_id, column.unit, column.title, column.words)
    found = connection.execute(query.where(*chosen).order_by(*_order(wanted)))
    return [
        str(row.defect_id)
        for row in found
        if part in f"{row.unit} {row.title} {row.words}".casefold()
    ]


def _order(wanted: Wanted) -> tuple[Any, ...]:
    oldest = (defects.c.found_utc, defects.c.defect_id)
    if wanted.oldest_first:
        return oldest
    return (defects.c.severity_rank.desc(), *oldest)


def _count(connection: Connection, chosen: list[ColumnElement[bool]]) -> int:
    query = select(func.count()).select_from(defects).where(*chosen)
    return int(connection.execute(query).scalar_one())
