"""The fleet list as CSV: units, checklists and hour meters.

    unit,checklist,title,place,hour_meter_h
    L-12,wheel-loader,Wheel loader twelve,Stonefold Quarry,4527.3

Only `unit` and `checklist` must be there. The file is UTF-8, comma separated
(RFC 4180).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update

from voicecheck.clock import utc_text
from voicecheck.errors import UsageError
from voicecheck.store import rows
from voicecheck.store.database import Database
from voicecheck.store.names import unit_id
from voicecheck.store.tables import units

COLUMNS = ("unit", "checklist", "title", "place", "hour_meter_h")
_NEEDED = ("unit", "checklist")
_MOST_HOURS_H = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedUnit:
    """One line of a fleet list."""

    unit: str
    checklist: str
    title: str
    place: str
    hour_meter_h: float | None


def read_fleet_list(lines: Iterable[str]) -> tuple[ListedUnit, ...]:
    """Return the units of a CSV file.

    Raises:
        UsageError: a line cannot be used; the text names it.
    """
    reader = csv.DictReader(lines, strict=True, restkey="", restval="")
    try:
        names = [(name or "").strip().lower() for name in reader.fieldnames or []]
        _check_header(names)
        reader.fieldnames = names
        found: dict[str, ListedUnit] = {}
        for row in reader:
            listed = _listed(row, reader.line_num)
            if listed.unit in found:
                raise UsageError(
                    f"line {reader.line_num}: {listed.unit} stands there twice"
                )
            found[listed.unit] = listed
    except csv.Error as error:
        raise UsageError(f"line {reader.line_num} is no CSV: {error}") from error
    return tuple(found.values())


def keep_fleet_list(
    store: Database, listed: Iterable[ListedUnit], at: datetime
) -> tuple[int, int]:
    """Write a fleet list into a store, all or nothing.

    A hour meter that a walk has read since is not overwritten by an empty one.

    Returns:
        How many units were new, and how many were there already.
    """
    new = known = 0
    with store.writing() as connection:
        for one in listed:
            meter = {} if one.hour_meter_h is None else _meter(one.hour_meter_h, at)
            values = {
                "checklist": one.checklist,
                "title": one.title,
                "place": one.place,
                **meter,
            }
            here = select(units.c.unit).where(units.c.unit == one.unit)
            if connection.execute(here).first():
                known += 1
                connection.execute(
                    update(units).where(units.c.unit == one.unit).values(**values)
                )
            else:
                new += 1
                rows.insert_missing(connection, units, [{"unit": one.unit, **values}])
    return new, known


def _meter(hour_meter_h: float, at: datetime) -> dict[str, object]:
    return {"hour_meter_h": hour_meter_h, "hour_meter_utc": utc_text(at)}


def _check_header(names: list[str]) -> None:
    missing = [name for name in _NEEDED if name not in names]
    odd = [name for name in names if name not in COLUMNS]
    if missing or odd or len(set(names)) != len(names):
        wrong = f"{', '.join(missing)} missing" if missing else f"{', '.join(odd)}?"
        raise UsageError(
            f"the first line names the columns, of {', '.join(COLUMNS)}: {wrong}"
        )


def _listed(row: dict[str, str], line: int) -> ListedUnit:
    if row.get(""):
        raise UsageError(f"line {line}: more fields than columns")
    try:
        unit = unit_id(row["unit"])
    except UsageError as error:
        raise UsageError(f"line {line}: {error}") from error
    checklist = row["checklist"].strip()
    if not checklist:
        raise UsageError(f"line {line}: {unit} has no checklist, such as wheel-loader")
    return ListedUnit(
        unit=unit,
        checklist=checklist,
        title=row.get("title", "").strip(),
        place=row.get("place", "").strip(),
        hour_meter_h=_hours(row.get("hour_meter_h", "").strip(), line),
    )


def _hours(text: str, line: int) -> float | None:
    if not text:
        return None
    try:
        hours_h = float(text)
    except ValueError:
        hours_h = -1.0
    if not 0 <= hours_h <= _MOST_HOURS_H:
        raise UsageError(
            f"line {line}: {text!r} is no hour meter reading; write hours as 4527.3"
        )
    return hours_h
