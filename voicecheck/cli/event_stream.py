"""Write what happens on a walk as JSON, one object a line, flushed at once."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

from voicecheck.clock import Clock, utc_text
from voicecheck.errors import UsageError

STDOUT = "-"


class EventStream:
    """Write events to a stream.

    Each line has `event` (its kind), `time` (UTC, ISO 8601 with milliseconds)
    and the data of the event.
    """

    def __init__(self, stream: TextIO, clock: Clock) -> None:
        self._stream = stream
        self._clock = clock

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Write one event."""
        line = {"event": kind, "time": utc_text(self._clock.now()), **data}
        self._stream.write(json.dumps(line, ensure_ascii=False) + "\n")
        self._stream.flush()


@contextmanager
def event_stream(
    target: str | None, clock: Clock
) -> Iterator[Callable[[str, Mapping[str, Any]], None]]:
    """Give something that writes events to a file, to stdout, or nowhere.

    Args:
        target: a path, "-" for stdout, None for nowhere.
        clock: tells the time of each event.

    Raises:
        UsageError: the file cannot be written.
    """
    if target is None:
        yield lambda _kind, _data: None
        return
    if target == STDOUT:
        yield EventStream(sys.stdout, clock).watch
        return
    try:
        stream = Path(target).open("a", encoding="utf-8")  # noqa: SIM115
    except OSError as error:
        raise UsageError(f"--events {target} cannot be written: {error}") from error
    with stream:
        yield EventStream(stream, clock).watch
