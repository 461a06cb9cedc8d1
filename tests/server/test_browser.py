"""The pages in a real browser: a walk by touch, by keys, and for everybody."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from voicecheck.round.answers import Yes
from voicecheck.store.session import replayed

if TYPE_CHECKING:
    from conftest import Place
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def test_a_walk_by_touch_is_accessible_on_every_page(
    place: Place, address: str, browser_page: Page, look_over: Callable[..., None]
) -> None:
    """Buttons of 64 pixels and more, no fault that axe finds at level AA."""
    page = browser_page
    page.goto(address + "/walks/new")
    look_over(page, "start")
    page.fill("#unit", "L-20")
    page.select_option("#checklist", "short-walk")
    with page.expect_navigation():
        page.click("main button.slab")
    look_over(page, "start check")
    for button in page.query_selector_all(".answers button"):
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 64

    for _ in range(2):
        with page.expect_navigation():
            page.click("button[value=yes]")
    look_over(page, "reading")
    page.fill("#value", "450")
    with page.expect_navigation():
        page.click(".reading button")
    look_over(page, "condition")
    with page.expect_navigation():
        page.click("button[value=defect]")
    look_over(page, "fault")

    walk_id = page.url.rpartition("/")[2]
    answers = replayed(place.checklist, place.journal.entries(walk_id)).answers
    assert list(answers) == ["protective_gear", "cab_empty", "left_front_pressure"]
    for where in ("/", "/units/L-20", "/defects", "/live", f"/live/{walk_id}"):
        page.goto(address + where)
        look_over(page, where)


def test_a_walk_by_keys(place: Place, address: str, browser_page: Page) -> None:
    """A letter and Enter; the cursor waits in the field of the next page."""
    page = browser_page
    page.goto(address + "/walks/new")
    page.fill("#unit", "L-21")
    page.select_option("#checklist", "short-walk")
    page.keyboard.press("Enter")
    page.focus("#typed")
    page.keyboard.type("y")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url.endswith("typing=true")
    page.wait_for_selector("#typed:focus")
    page.keyboard.type("y")
    page.keyboard.press("Enter")
    page.wait_for_selector("#value")
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
    # no script of the test's own: the page's security policy lets none run
    page.wait_for_selector("#link:not(:empty)")

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
