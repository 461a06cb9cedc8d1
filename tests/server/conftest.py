"""A server with a short checklist, and somebody who visits it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from voicecheck.checklists import load
from voicecheck.clock import ManualClock
from voicecheck.round.checklist import Checklist
from voicecheck.server.app import create_app
from voicecheck.server.settings import ServerSettings
from voicecheck.testing.browsing import Browsing
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.short_walk import short_walk

NAME = "short-walk"
"""Of the checklist: eleven points with every kind of answer."""


@dataclass(frozen=True, kw_only=True)
class Place:
    """A server that can be started again on the same data."""

    home: Path
    journal: MemoryJournal
    clock: ManualClock
    checklist: Checklist
    start: Callable[..., Any]
    """Start it (again); takes settings of `ServerSettings` and returns the app."""


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """Give a server in an empty folder."""
    file = tmp_path / f"{NAME}.toml"
    file.write_text(short_walk(), encoding="utf-8")
    clock = ManualClock()
    journal = MemoryJournal()

    def start(**more: Any) -> Any:
        given = {
            "home": tmp_path,
            "host_names": frozenset({"testserver"}),
            "checklists": {NAME: file},
            "poll_s": 0.0,
        }
        return create_app(ServerSettings(**{**given, **more}), journal, clock)

    return Place(
        home=tmp_path,
        journal=journal,
        clock=clock,
        checklist=load(file),
        start=start,
    )


@pytest.fixture
def visitor(place: Place) -> Browsing:
    """Give somebody at this computer."""
    return Browsing(place.start())
