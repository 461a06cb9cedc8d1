"""The pages in a real browser: a walk by touch, by keys, and for everybody."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest

from voicecheck.round.answers import Yes
from voicecheck.store.session import replayed

if TYPE_CHECKING:
    from conftest import Place
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

SIZES = ((390, 844), (820, 1180), (1440, 900))
"""Phone, tablet and desktop, in CSS pixels."""
LEAST_TARGET = 44
"""CSS pixels of whatever is pressed in a walk; answers have 64."""


@pytest.fixture
def address(place: Place) -> Iterator[str]:
    """Serve on a free port of this computer."""
    import uvicorn

    app = place.start(host_names=frozenset({"127.0.0.1"}), poll_s=0.2)
    config = uvicorn.Config(
        app, port=0, log_level="error", timeout_graceful_shutdown=1, lifespan="off"
    )
    server = uvicorn.Server(config)
    ready = threading.Event()
    begin = server.startup

    async def startup(*arguments: object, **more: object) -> None:
        await begin(*arguments, **more)  # type: ignore[arg-type]
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


def look_over(page: Page, axe: Callable[[Page], list[str]], what: str) -> None:
    """Check one page at every size."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{what} is wider than {width}"
    assert axe(page) == [], what


def test_a_walk_by_touch_is_accessible_on_every_page(
    place: Place, address: str, browser_page: Page, axe: Callable[[Page], list[str]]
) -> None:
    """Buttons of 64 pixels and more, no fault that axe finds at level AA."""
    page = browser_page
    page.goto(address + "/walks/new")
    look_over(page, axe, "start")
    page.fill("#unit", "L-20")
    page.select_option("#checklist", "short-walk")
    page.click("main button.slab")
    look_over(page, axe, "start check")
    for button in page.query_selector_all(".answers button"):
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 64

    page.click("button[value=yes]")
    page.click("button[value=yes]")
    look_over(page, axe, "reading")
    page.fill("#value", "450")
    page.click(".reading button")
    look_over(page, axe, "condition")
    page.click("button[value=defect]")
    look_over(page, axe, "fault")

    walk_id = page.url.rpartition("/")[2]
    answers = replayed(place.checklist, place.journal.entries(walk_id)).answers
    assert list(answers) == ["protective_gear", "cab_empty", "left_front_pressure"]
    for where in ("/", "/units/L-20", "/defects", "/live", f"/live/{walk_id}"):
        page.goto(address + where)
        look_over(page, axe, where)


def test_a_walk_by_keys(place: Place, address: str, browser_page: Page) -> None:
    """A letter and Enter; the cursor waits in the field of the next page."""
    page = browser_page
    page.goto(address + "/walks/new")
    page.fill("#unit", "L-21")
    page.select_option("#checklist", "short-walk")
    page.keyboard.press("Enter")
    page.focus("#typed")
    page.keyboard.type("y")
    page.keyboard.press("Enter")
    page.wait_for_url("**typing=true")
    page.keyboard.type("y")
    page.keyboard.press("Enter")
    page.wait_for_selector("#value:focus")

    walk_id = page.url.rpartition("/")[2].partition("?")[0]
    answers = replayed(place.checklist, place.journal.entries(walk_id)).answers
    assert list(answers.values()) == [Yes(), Yes()]


def test_the_live_page_follows_by_itself(
    place: Place, address: str, browser_page: Page
) -> None:
    """What another program records appears without loading the page again."""
    from voicecheck.round import events as ev
    from voicecheck.store.session import WalkSession

    session = WalkSession.start(
        place.journal, place.clock, place.checklist, unit="L-22", folder=place.home
    )
    page = browser_page
    page.goto(f"{address}/live/{session.walk_id}")
    page.wait_for_function("document.getElementById('link').textContent !== ''")

    assert not page.is_visible("#record")
    first = place.checklist.checkpoints[0]
    session.commit(
        ev.AnswerConfirmed(checkpoint_id=first.id, answer=Yes()),
        ev.How(mode="spoken", confirmed_by="explicit", words=("affirm",)),
    )
    page.wait_for_selector("#lines li:has-text('affirm')")
    session.commit(ev.WalkStopped(reason="operator"))
    page.wait_for_selector("#record:visible")

    assert "over" in page.inner_text("#link")
