"""What a user hands to a report of a period: shifts, temperatures, fluids."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date, datetime, time
from math import isfinite
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from voicecheck.errors import UsageError
from voicecheck.report.period.figures import Added
from voicecheck.statistics.shifts import Shift

_Row = TypeVar("_Row")


def shift_plan(path: Path) -> tuple[Shift, ...]:
    """Read `unit,start,end`; times in ISO 8601, with or without an offset.

    Raises:
        UsageError: the file cannot be read, or a line is wrong.
    """
    return tuple(_read(path, ("unit", "start", "end"), _shift))


def temperatures(path: Path) -> dict[date, float]:
    """Read `date,air_c`; raises like `shift_plan`."""
    return dict(_read(path, ("date", "air_c"), _day))


def added(path: Path) -> tuple[Added, ...]:
    """Read `date,unit,fluid,litres`; raises like `shift_plan`."""
    return tuple(_read(path, ("date", "unit", "fluid", "litres"), _added))


def zone(name: str | None) -> ZoneInfo | None:
    """Return a time zone by its name in the IANA data base; None for None.

    Raises:
        UsageError: there is none of that name.
    """
    if name is None:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise UsageError(
            f"no time zone is called {name!r}; give one like Asia/Seoul or UTC"
        ) from error


def time_of_day(text: str) -> time:
    """Return a time such as 06:00.

    Raises:
        UsageError: it is none.
    """
    try:
        return time.fromisoformat(text).replace(tzinfo=None)
    except ValueError as error:
        raise UsageError(f"{text!r} is no time of day; write it like 06:00") from error


def _shift(row: dict[str, str]) -> Shift:
    start, end = (datetime.fromisoformat(row[name]) for name in ("start", "end"))
    # a time without an offset is one of this computer
    start, end = start.astimezone(), end.astimezone()
    if end <= start:
        raise ValueError("the shift ends before it begins")
    return Shift(unit=row["unit"].strip(), start=start, end=end)


def _day(row: dict[str, str]) -> tuple[date, float]:
    return date.fromisoformat(row["date"].strip()), _number(row["air_c"])


def _added(row: dict[str, str]) -> Added:
    litres = _number(row["litres"])
    if litres < 0:
        raise ValueError("litres are zero or more")
    return Added(
        unit=row["unit"].strip(),
        day=date.fromisoformat(row["date"].strip()),
        fluid=row["fluid"].strip(),
        litres=litres,
    )


def _number(text: str) -> float:
    value = float(text)
    if not isfinite(value):
        raise ValueError(f"{text} is no number")
    return value


def _read(
    path: Path, columns: tuple[str, ...], make: Callable[[dict[str, str]], _Row]
) -> list[_Row]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{path} cannot be read as CSV in UTF-8: {error}") from error
    reader = csv.DictReader(text.splitlines())
    missing = [name for name in columns if name not in (reader.fieldnames or ())]
    if missing:
        raise UsageError(
            f"{path}: the first line must name the columns {','.join(columns)}; "
            f"missing: {', '.join(missing)}"
        )
    rows = []
    for row in reader:
        try:
            rows.append(make(row))
        except (ValueError, TypeError, AttributeError) as error:
            raise UsageError(f"{path}, line {reader.line_num}: {error}") from error
    return rows
