"""The only place that reads the wall clock."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tell the time. `now` is aware UTC; `monotonic_s` never goes back."""

    def now(self) -> datetime: ...

    def monotonic_s(self) -> float: ...


class SystemClock:
    """The clock of this computer."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def monotonic_s(self) -> float:
        return time.monotonic()


class ManualClock:
    """A clock that moves only when told: for tests and for simulated walks."""

    def __init__(self, start: datetime | None = None) -> None:
        self._start = start or datetime(2026, 1, 5, 6, 0, tzinfo=UTC)
        self._elapsed_s = 0.0

    def now(self) -> datetime:
        return self._start + timedelta(seconds=self._elapsed_s)

    def monotonic_s(self) -> float:
        return self._elapsed_s

    def advance(self, seconds: float) -> None:
        """Move forward by `seconds` (>= 0)."""
        if seconds < 0:
            raise ValueError("a clock does not go back")
        self._elapsed_s += seconds


def utc_text(moment: datetime) -> str:
    """Return `moment` as ISO 8601 in UTC with milliseconds and a final Z."""
    text = moment.astimezone(UTC).isoformat(timespec="milliseconds")
    return text.replace("+00:00", "Z")
