"""A server with a short checklist, and somebody who visits it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from voicecheck.checklists import load
from voicecheck.clock import ManualClock
from voicecheck.people.store import PeopleStore
from voicecheck.round import events as ev
from voicecheck.round.answers import Defect, Fault, Severity
from voicecheck.round.checklist import Checklist
from voicecheck.server.app import create_app
from voicecheck.server.settings import ServerSettings
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.journal import SqlJournal, open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.workshop import Workshop
from voicecheck.testing.browsing import Browsing
from voicecheck.testing.filling import fill
from voicecheck.testing.short_walk import short_walk
from voicecheck.testing.small_checklist import good_answers, small_checklist

NAME = "short-walk"
"""Of the checklist: eleven points with every kind of answer."""


@dataclass(frozen=True, kw_only=True)
class Place:
    """A server that can be started again on the same data."""

    home: Path
    journal: SqlJournal
    fleet: SqlFleet
    workshop: Workshop
    people: PeopleStore
    clock: ManualClock
    checklist: Checklist
    start: Callable[..., Any]
    """Start it (again); takes settings of `ServerSettings` and returns the app."""


def opened(home: Path, where: Path | str) -> Iterator[Place]:
    """Give a server in an empty folder, on a store in a file or at a URL."""
    file = home / f"{NAME}.toml"
    file.write_text(short_walk(), encoding="utf-8")
    clock = ManualClock()
    with (
        open_journal(where) as journal,
        open_fleet(where, folder=home) as fleet,
        Workshop.open(where) as workshop,
        PeopleStore(home / "people.sqlite3", clock=clock) as people,
    ):

        def start(**more: Any) -> Any:
            given = {
                "home": home,
                "host_names": frozenset({"testserver"}),
                "checklists": {NAME: file},
                "poll_s": 0.0,
            }
            return create_app(
                ServerSettings(**{**given, **more}),
                journal,
                clock,
                fleet=fleet,
                workshop=workshop,
                people=people,
            )

        yield Place(
            home=home,
            journal=journal,
            fleet=fleet,
            workshop=workshop,
            people=people,
            clock=clock,
            checklist=load(file),
            start=start,
        )


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """Give a server in an empty folder."""
    yield from opened(tmp_path, tmp_path / "store.sqlite3")


@pytest.fixture
def visitor(place: Place) -> Browsing:
    """Give somebody at this computer."""
    return Browsing(place.start())


def found(place: Place) -> None:
    """Walk round two units: L-1 has a loose wheel, L-2 is fine."""
    bad = Defect(fault=Fault.LOOSE, severity=Severity.MAJOR)
    for unit, more in (("L-1", {"left_wheel": bad}), ("L-2", {})):
        session = WalkSession.start(
            place.journal,
            place.clock,
            small_checklist(),
            unit=unit,
            operator="J.Doe",
            folder=place.home,
        )
        how = ev.How(mode="typed", confirmed_by="typed", tries=1)
        fill(session, {**good_answers(), **more}, how=how)
        session.finish()


@pytest.fixture
def yard(place: Place) -> Browsing:
    """Give a visitor of two units: L-1 has a loose wheel, L-2 is fine."""
    found(place)
    return Browsing(place.start())
