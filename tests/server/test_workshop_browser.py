"""Repair and release in a real browser: for everybody, without scripts, in Korean."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from conftest import Place
    from playwright.sync_api import Browser, Page

pytestmark = [
    pytest.mark.browser,
    pytest.mark.xdist_group("browser"),
    pytest.mark.usefixtures("found"),
]

Look = Callable[..., None]


@pytest.mark.slow
def test_the_pages_of_a_repair_are_accessible(
    place: Place,
    address: str,
    browser_page: Page,
    look_over: Look,
    console_errors: list[str],
) -> None:
    """Every state of a defect and of its machine, and every form with a mistake."""
    page = browser_page
    [defect] = place.fleet.open_defects()
    where = f"{address}/defects/{defect.defect_id}"
    page.goto(f"{address}/units/L-1/release")
    look_over(page, "held")
    page.goto(f"{address}/units/L-1")
    look_over(page, "unit")
    page.goto(where)
    page.click("summary")
    look_over(page, "found")
    page.fill("#repaired-done", "new nuts")
    page.fill("#repaired-hours", "two")
    page.fill("#repaired-by", "M.Roe")
    with page.expect_response(lambda answer: answer.status == 422):
        page.click("form[action$=repaired] button")
    look_over(page, "a mistake")
    console_errors.clear()  # the browser calls a refused form an error
    page.fill("#repaired-hours", "2")
    page.click("form[action$=repaired] button")
    page.wait_for_url("**kept=true")
    look_over(page, "repaired")
    page.goto(f"{address}/units/L-1/release")
    look_over(page, "release")
    page.goto(where)
    page.click("text=Yes, it is good")
    page.fill("#checked-by", "C.Poe")
    page.click("form[action$=checked] button")
    page.wait_for_url("**kept=true")
    look_over(page, "checked")
    page.click("text=Release of L-1")
    page.fill("#release-by", "C.Poe")
    page.click("text=I have checked the repairs")
    page.click("text=Release L-1")
    page.wait_for_url("**released=true")
    look_over(page, "released")

    assert place.fleet.open_defects() == ()
    page.goto(f"{address}/records/{place.fleet.walks('L-1')[0].walk_id}")
    page.click("summary:has-text('How each answer came in')")
    look_over(page, "record")


@pytest.fixture
def plain_page(browser: Browser) -> Page:
    """Give a page of a browser that runs no scripts."""
    return browser.new_context(java_script_enabled=False).new_page()


def test_a_repair_without_scripts(place: Place, address: str, plain_page: Page) -> None:
    """By keyboard only, from the tag to the walk that may begin again."""
    page = plain_page
    page.goto(f"{address}/walks/new?unit=L-1")
    page.click("text=Its story")
    page.focus("#repaired-done")
    for text in ("new nuts", "8 nuts", "1.5", "M.Roe"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.click("text=Tag and release of L-1")
    page.fill("#release-by", "C.Poe")
    page.focus("[name=sure]")
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    page.wait_for_url("**released=true")

    assert "Now walk round it" in page.inner_text("main")
    page.context.close()


def test_in_korean(
    place: Place, address: str, browser_page: Page, look_over: Look
) -> None:
    """A walk, a tag and a repair; pages say that they are Korean."""
    page = browser_page
    page.goto(address)
    page.select_option("#language", "ko")
    with page.expect_navigation():
        page.click(".language button")
    page.goto(f"{address}/units/L-1/release")
    look_over(page, "held")
    assert page.get_attribute("html", "lang") == "ko"
    assert "운전 금지" in page.inner_text("main")
    page.click("text=경과 보기")
    page.fill("#repaired-done", "너트 교체")
    page.fill("#repaired-by", "김철")
    page.click("form[action$=repaired] button")
    page.wait_for_url("**kept=true")
    look_over(page, "repaired")
    assert "적었습니다" in page.inner_text("main")

    page.goto(f"{address}/walks/new?unit=L-2")
    look_over(page, "start")
    page.select_option("#checklist", "wheel-loader")
    with page.expect_navigation():
        page.click("main button.slab")
    look_over(page, "walk")
    with page.expect_navigation():
        page.click("button[value=yes]")
    assert page.get_attribute("html", "lang") == "ko"
