"""The browser and the accessibility checker that tests of pages rely on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from urllib.parse import quote

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

CLEAN = """<!doctype html><html lang="en"><head><title>Yard</title>
<style>input, button { min-height: 44px }</style></head><body><main>
<h1>Yard</h1><label>Unit <input name="unit"></label>
<div style="display:flex"><button>Open</button></div></main></body></html>"""


def open_text(page: Page, html: str) -> None:
    """Show a page without a server."""
    page.goto("data:text/html;charset=utf-8," + quote(html))


def test_a_clean_page_has_no_fault(
    browser_page: Page, axe: Callable[[Page], list[str]]
) -> None:
    """Language, title, heading, labelled field, named button: nothing to say."""
    open_text(browser_page, CLEAN)

    assert axe(browser_page) == []


@pytest.mark.parametrize(
    ("good", "bad", "rule"),
    [
        ("<label>Unit <input", "<label>Unit</label><input", "label"),
        ("<h1>Yard", "<h1 style='color:#bbb'>Yard", "color-contrast"),
        (' lang="en"', "", "html-has-lang"),
        (
            "<button>",
            "<button style='min-height:0;padding:0;font-size:8px'>b</button><button>",
            "target-size",
        ),
    ],
)
def test_known_faults_are_found(
    browser_page: Page,
    axe: Callable[[Page], list[str]],
    good: str,
    bad: str,
    rule: str,
) -> None:
    """Success criteria 4.1.2, 1.4.3, 3.1.1 and 2.5.8 of WCAG 2.2, each broken once."""
    assert good in CLEAN
    open_text(browser_page, CLEAN.replace(good, bad))

    assert [fault.split(":")[0] for fault in axe(browser_page)] == [rule]


def test_errors_on_the_console_are_noticed(
    browser_page: Page, console_errors: list[str]
) -> None:
    """Of scripts that throw and of scripts that complain."""
    open_text(browser_page, "<script>console.error('one')</script>")
    open_text(browser_page, "<script>throw new Error('two')</script>")
    browser_page.wait_for_load_state()

    assert console_errors == ["one", "two"]
    console_errors.clear()
