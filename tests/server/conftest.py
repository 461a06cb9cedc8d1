"""A server with a short checklist, and somebody who visits it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import delete

from voicecheck.checklists import load
from voicecheck.clock import ManualClock
from voicecheck.people.store import PeopleStore
from voicecheck.round import events as ev
from voicecheck.round.answers import Defect, Fault, Severity
from voicecheck.round.checklist import Checklist
from voicecheck.server.app import create_app
from voicecheck.server.settings import ServerSettings
from voicecheck.store import tables
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.journal import SqlJournal, open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.workshop import Workshop
from voicecheck.testing.browsing import Browsing
from voicecheck.testing.filling import fill
from voicecheck.testing.short_walk import short_walk
from voicecheck.testing.small_checklist import good_answers, small_checklist

if TYPE_CHECKING:
    from playwright.sync_api import Page

SIZES = ((390, 844), (820, 1180), (1280, 800))
"""Phone, tablet and desktop, in CSS pixels."""
LEAST_TARGET = 44
"""CSS pixels of whatever is pressed; 24 is the least of WCAG 2.2, 2.5.8 (AA)."""
_PRESSED = "button, .go, .slab, select, input:not([type=hidden]), textarea, summary"
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


def _opened(home: Path, where: Path | str) -> Iterator[Place]:
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
def opened() -> Callable[[Path, Path | str], Iterator[Place]]:
    """Give what opens a place on a store of one's choice."""
    return _opened


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """Give a server in an empty folder."""
    yield from _opened(tmp_path, tmp_path / "store.sqlite3")


@pytest.fixture
def visitor(place: Place) -> Browsing:
    """Give somebody at this computer."""
    return Browsing(place.start())


@pytest.fixture
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
def yard(place: Place, found: None) -> Browsing:
    """Give a visitor of two units: L-1 has a loose wheel, L-2 is fine."""
    del found  # it has happened
    return Browsing(place.start())


@contextmanager
def served(app: Any) -> Iterator[str]:
    """Serve on a free port of this computer; give the address."""
    import uvicorn

    config = uvicorn.Config(
        app, port=0, log_level="error", timeout_graceful_shutdown=1, lifespan="off"
    )
    server = uvicorn.Server(config)
    ready = threading.Event()
    begin = server.startup

    async def startup(*arguments: object, **more: object) -> None:
        await begin(*arguments, **more)
        ready.set()

    server.startup = startup  # type: ignore[method-assign]
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    assert ready.wait(60)
    [socket] = server.servers[0].sockets
    yield f"http://127.0.0.1:{socket.getsockname()[1]}"
    server.should_exit = True
    thread.join(30)
    assert not thread.is_alive()


@pytest.fixture
def address(place: Place) -> Iterator[str]:
    """Serve the place."""
    app = place.start(host_names=frozenset({"127.0.0.1"}), poll_s=0.2)
    with served(app) as where:
        yield where


@pytest.fixture
def look_over(axe: Callable[[Page], list[str]]) -> Callable[..., None]:
    """Give what checks a page at every size, in light and in the dark."""

    def look(page: Page, what: str) -> None:
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, f"{what} is wider than {width}"
        for scheme in ("dark", "light"):
            page.emulate_media(color_scheme=scheme)
            assert axe(page) == [], f"{what}, {scheme}"
        for pressed in page.query_selector_all(f"main :is({_PRESSED})"):
            box = pressed.bounding_box() if pressed.is_visible() else None
            picked = pressed.evaluate("e => e.closest('.pick') !== null")
            if box is not None and not picked:  # a box is pressed by its words too
                assert box["height"] >= LEAST_TARGET, pressed.inner_html()

    return look


@pytest.fixture
def fresh_postgres_url(postgres_url: str) -> str:
    """Give the URL of the module's database, emptied."""
    with open_journal(postgres_url) as journal, journal.writing() as connection:
        for table in reversed(tables.metadata.sorted_tables):
            if table is not tables.journal_format:
                connection.execute(delete(table))
    return postgres_url
