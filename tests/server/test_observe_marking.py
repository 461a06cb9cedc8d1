"""Marking in a real browser while the connection drops and the server dies."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from voicecheck.clock import SystemClock
from voicecheck.observe.keeping import Observations
from voicecheck.observe.observation import Observation
from voicecheck.people.store import PeopleStore
from voicecheck.round.answers import Defect, Fault, Severity
from voicecheck.testing.observing import ASSESSOR, TRAINEE, Watching, begin_watching

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.xdist_group("marking"),  # one server, one observation
]

SIZES = ((390, 844), (820, 1180), (1280, 900))
"""Phone, tablet and desktop, in CSS pixels."""
SENT = "All marks have reached the server."
PATIENCE_MS = 60_000
LAST = "document.getElementById('last').dataset.key"
"""Key of the newest mark that is shown as done."""


class Served:
    """`voicecheck serve` as a process of its own, which can be killed."""

    def __init__(self, home: Path) -> None:
        self.home = home
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it listens."""
        program = "from voicecheck.cli.main import main; main()"
        with (self.home / "serve.log").open("ab") as log:
            self._process = subprocess.Popen(
                [sys.executable, "-c", program, "serve", "--port", str(self.port)],
                env=os.environ | {"VOICECHECK_HOME": str(self.home)},
                stdout=log,
                stderr=log,
            )
        while not self._listens():
            assert self._process.poll() is None, (self.home / "serve.log").read_text()

    def kill(self) -> None:
        """Kill it as a power cut would."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(30)
            self._process = None

    def _listens(self) -> bool:
        try:
            with socket.create_connection(("127.0.0.1", self.port), 0.2):
                return True
        except OSError:
            assert self._process is not None
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(0.2)
            return False


@pytest.fixture(scope="module")
def watching_home(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Watching]:
    """Give a home with people, and an observation that has begun."""
    home = tmp_path_factory.mktemp("home")
    fault = Defect(fault=Fault.LOOSE, severity=Severity.MAJOR)
    with PeopleStore(home / "people.sqlite3") as store:
        watching = begin_watching(
            store, home, SystemClock(), planted={"centre_pins": fault}
        )
    return home, watching


@pytest.fixture(scope="module")
def served(watching_home: tuple[Path, Watching]) -> Iterator[Served]:
    """Give a running server."""
    server = Served(watching_home[0])
    server.start()
    yield server
    server.kill()


@pytest.fixture(scope="module")
def watching(watching_home: tuple[Path, Watching]) -> Watching:
    """Give the observation."""
    return watching_home[1]


def signed_in(page: Page, served: Served, watching: Watching, place: str) -> None:
    """Open a page of the server, by way of the door."""
    page.goto(served.address + place)
    page.fill("#who", ASSESSOR)
    page.fill("#code", watching.codes[ASSESSOR])
    with page.expect_navigation():
        page.click("main button.slab")


def until(page: Page, expression: str) -> None:
    """Wait until an expression holds; the page's policy forbids waiting inside it."""
    for _ in range(PATIENCE_MS // 50):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(50)
    pytest.fail(f"never: {expression}; {page.inner_text('main')}")


def marking(page: Page, served: Served, watching: Watching) -> None:
    """Open the marking page, signed in, ready to open again without a line."""
    signed_in(page, served, watching, f"{watching.place}/mark")
    page.wait_for_selector("#marking:not([hidden])", timeout=PATIENCE_MS)
    until(page, "document.getElementById('reopens').textContent !== ''")
    until(page, "caches.match('/observe/shell').then(found => found !== undefined)")


def press(page: Page, *marks: str) -> None:
    """Press marks, each after the last one is shown as done and no bounce."""
    for mark in marks:
        page.wait_for_timeout(450)
        before = page.evaluate(LAST)
        page.click(f"button[data-mark={mark}]")
        until(page, f"{LAST} !== {before!r}")


def sending(page: Page, text: str) -> None:
    """Wait until the page says so."""
    shown = "document.getElementById('sending').textContent"
    until(page, f"{shown}.includes({text!r})")


def kept(home: Path, watching: Watching) -> Observation:
    """Return what the server has."""
    with PeopleStore(home / "people.sqlite3") as store:
        return Observations(store).load(TRAINEE, watching.observation, ASSESSOR)


def kinds(observation: Observation) -> list[str]:
    """Return the standing marks in the order of their time."""
    return [mark.kind.value for mark in observation.marks]


def test_nothing_is_lost_or_doubled_when_line_and_server_go(
    served: Served, watching: Watching, browser_page: Page, console_errors: list[str]
) -> None:
    """Cut in the middle, undo and reload while cut, server killed and started."""
    page, context = browser_page, browser_page.context
    marking(page, served, watching)
    press(page, "looked", "glanced")
    sending(page, SENT)
    assert kinds(kept(served.home, watching)) == ["looked", "glanced"]

    context.set_offline(True)
    press(page, "missed", "looked", "unsafe")
    sending(page, "3 marks not sent yet - kept on this tablet")
    page.click("#undo")
    sending(page, "4 marks not sent yet")
    assert "Taken back: Unsafe act" in page.inner_text("#told")
    page.reload()
    page.wait_for_selector("#marking:not([hidden])")
    sending(page, "4 marks not sent yet - kept on this tablet")
    press(page, "out_of_order")
    assert kinds(kept(served.home, watching)) == ["looked", "glanced"]
    context.set_offline(False)
    sending(page, SENT)
    two = kept(served.home, watching)
    assert kinds(two) == ["looked", "glanced", "missed", "looked", "out_of_order"]
    assert [mark.kind.value for mark in two.retracted] == ["unsafe"]

    served.kill()
    press(page, "glanced")
    sending(page, "1 mark not sent yet - kept on this tablet")
    page.reload()
    page.wait_for_selector("#marking:not([hidden])")
    press(page, "missed")
    served.start()
    sending(page, SENT)

    three = kept(served.home, watching)
    assert kinds(three) == [*kinds(two), "glanced", "missed"]
    points = [point.id for point in watching.checklist.checkpoints]
    assert [mark.checkpoint for mark in three.marks] == [
        *points[:4],
        points[4],
        points[4],
        points[5],
    ]
    assert len({mark.key for mark in three.marks}) == len(three.marks)
    console_errors.clear()  # the browser tells of each try without a line


def test_two_tabs_and_a_closed_one(
    served: Served, watching: Watching, browser_page: Page, console_errors: list[str]
) -> None:
    """Two tabs share what is kept; a tab that is closed loses nothing."""
    before = kinds(kept(served.home, watching))
    page, context = browser_page, browser_page.context
    marking(page, served, watching)
    other = context.new_page()
    other.goto(f"{served.address}{watching.place}/mark")
    other.wait_for_selector("#marking:not([hidden])", timeout=PATIENCE_MS)
    context.set_offline(True)
    press(page, "looked")
    press(other, "missed")
    press(page, "glanced")
    sending(other, "3 marks not sent yet")
    page.close()
    other.close()

    third = context.new_page()
    third.goto(f"{served.address}{watching.place}/mark")
    sending(third, "3 marks not sent yet")
    fourth = context.new_page()
    fourth.goto(f"{served.address}{watching.place}/mark")
    context.set_offline(False)
    sending(third, SENT)
    sending(fourth, SENT)

    assert kinds(kept(served.home, watching)) == [
        *before,
        "looked",
        "missed",
        "glanced",
    ]
    console_errors.clear()


def test_a_glove_that_presses_twice_marks_once(
    served: Served, watching: Watching, browser_page: Page
) -> None:
    """Two presses within 0.4 s are one; any point is two presses away."""
    before = len(kept(served.home, watching).marks)
    page = browser_page
    marking(page, served, watching)

    shown = page.evaluate(LAST)
    page.dblclick("button[data-mark=looked]")
    until(page, f"{LAST} !== {shown!r}")
    sending(page, SENT)
    page.click("#open-every")
    page.click("#every-zones button:has-text('Horn')")

    assert page.inner_text("#point") == "Horn?"
    assert len(kept(served.home, watching).marks) == before + 1


def test_a_note_and_an_act_keep_the_time_of_the_mark(
    served: Served, watching: Watching, browser_page: Page
) -> None:
    """What is said of a mark afterwards does not move it."""
    page = browser_page
    marking(page, served, watching)
    press(page, "unsafe")
    sending(page, SENT)
    first = kept(served.home, watching).marks[-1]
    page.click("button[data-value=three_points_broken]")
    page.click("#note-box summary")
    page.fill("#note", "bottle in the hand")
    page.click("#note-form button")
    until(page, "document.getElementById('last-note').textContent.includes('bottle')")
    sending(page, SENT)

    newest = kept(served.home, watching).marks[-1]
    assert (newest.act, newest.note) == ("three_points_broken", "bottle in the hand")
    assert newest.at_utc == first.at_utc
    assert newest.key != first.key
    assert abs(newest.skew_s) < 5


def test_the_marking_page_is_accessible(
    served: Served,
    watching: Watching,
    browser_page: Page,
    axe: Callable[[Page], list[str]],
) -> None:
    """No fault that axe finds at level AA, at any size; marks of 72 pixels and more."""
    page = browser_page
    marking(page, served, watching)
    press(page, "unsafe")
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        for button in page.query_selector_all(".marks button"):
            box = button.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= 72
        assert axe(page) == []
        page.click("#open-every")
        assert axe(page) == []
        page.click("#close-every")


def test_signing_out_forgets_what_was_sent(
    served: Served, watching: Watching, browser_page: Page, console_errors: list[str]
) -> None:
    """Sent marks, points and names leave the tablet; what waits stays, and is said."""
    page, context = browser_page, browser_page.context
    marking(page, served, watching)
    press(page, "looked")
    sending(page, SENT)
    page.route("**/marks", lambda route: route.abort())
    press(page, "missed")
    sending(page, "1 mark not sent yet")
    page.unroute("**/marks")
    quiet = context.new_page()
    page.close()
    quiet.goto(served.address + "/people")
    quiet.click(".signed button")
    quiet.wait_for_selector("#waiting:not([hidden])")

    assert "Marks not sent yet: 1" in quiet.inner_text("#waiting")
    assert stored(quiet) == ["missed"]
    marking(quiet, served, watching)
    sending(quiet, SENT)
    assert kinds(kept(served.home, watching))[-1] == "missed"
    console_errors.clear()


def stored(page: Page) -> list[str]:
    """Return the marks that lie in the browser."""
    found = page.evaluate(
        """async () => {
            const plans = await indexedDB.databases();
            const open = indexedDB.open(plans[0].name);
            await new Promise((done) => { open.onsuccess = done; });
            const marks = open.result.transaction(["marks"]).objectStore("marks");
            const asked = marks.getAll();
            await new Promise((done) => { asked.onsuccess = done; });
            return asked.result.map((record) => record.event.kind);
        }"""
    )
    return list(found)


def test_a_tablet_whose_clock_is_wrong(
    served: Served, watching: Watching, browser_page: Page
) -> None:
    """An hour ahead, or set back meanwhile: the skew is kept, the order holds."""
    page = browser_page
    page.add_init_script(
        "const real = Date.now.bind(Date); self.ahead = 3600e3;"
        "Date.now = () => real() + self.ahead;"
    )
    marking(page, served, watching)
    press(page, "looked")
    page.evaluate("self.ahead = 0")
    press(page, "missed")
    sending(page, SENT)

    first, second = sorted(
        kept(served.home, watching).marks, key=lambda mark: mark.at_utc
    )[-2:]
    assert (first.kind, second.kind) == ("looked", "missed")
    assert abs(first.skew_s - 3600) < 5


def test_the_pages_about_people_are_accessible(
    served: Served,
    watching: Watching,
    browser_page: Page,
    axe: Callable[[Page], list[str]],
) -> None:
    """Result, debrief, lists, comparison, course and progress, at every size."""
    page = browser_page
    look_over(page, axe, served.address + "/people/sign-in")
    signed_in(page, served, watching, "/people/sign-in")
    look_over(page, axe, f"{served.address}{watching.place}/end")
    page.click("main button.slab")
    page.wait_for_url(f"**{watching.place}")
    for place in (
        watching.place,
        f"{watching.place}/debrief",
        f"/observe/of/{TRAINEE}",
        "/observe",
        "/observe/begin",
        "/observe/course?checklist=wheel-loader",
        "/observe/compare",
        f"/learn/{ASSESSOR}",
        "/people",
    ):
        look_over(page, axe, served.address + place)
    page.click(".signed button")
    page.wait_for_url("**/people/signed-out")
    look_over(page, axe, page.url)


def look_over(page: Page, axe: Callable[[Page], list[str]], address: str) -> None:
    """Open a page and check it at every size."""
    page.goto(address)
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{address} is wider than {width}"
    assert axe(page) == [], address
