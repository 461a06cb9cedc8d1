"""Which tests run where, and the services that some of them need."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import numpy as np
import pytest
from sqlalchemy import make_url

from voicecheck.audio.frames import Frames

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SERVICES = {
    "device": ("VOICECHECK_DEVICES", "virtual sound devices"),
    "browser": ("VOICECHECK_BROWSER", "a real browser"),
    "database": ("VOICECHECK_POSTGRES", "a PostgreSQL server"),
}
"""Marker: the variable that asks for these tests, and what they need."""

RECORDED = Path("/usr/share/pocketsphinx/test/data")
"""Debian's package pocketsphinx-testdata."""

Axe = Callable[["Page"], list[str]]


def pytest_report_header() -> list[str]:
    """Say what is left out, and how to run it."""
    return [
        f"{name} is set: tests with {what} run; nothing may be missing"
        if _wanted(name)
        else f"tests with {what} are left out: set {name} to run them"
        for name, what in SERVICES.values()
    ]


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Leave tests of services out unless asked for; begin with the slow ones.

    The longest test decides how long all take when several run side by side, so
    it must not be the last one to start.
    """
    absent = [mark for mark, (name, _) in SERVICES.items() if not _wanted(name)]
    left_out = [item for item in items if any(map(item.get_closest_marker, absent))]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
    gone = set(left_out)
    items[:] = [item for item in items if item not in gone]
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def _wanted(name: str) -> bool:
    return os.environ.get(name, "") not in {"", "0"}


@pytest.fixture
def person() -> Callable[[str], Frames]:
    """Give a recording of Debian's pocketsphinx-testdata, mono at 16 kHz.

    They are raw 16-bit samples at that rate. With VOICECHECK_HUMAN=1 a missing
    package is a failure.
    """

    def frames(name: str) -> Frames:
        raw = RECORDED / name
        if not raw.is_file():
            missing = f"{raw} is missing: apt install pocketsphinx-testdata"
            if _wanted("VOICECHECK_HUMAN"):
                pytest.fail(missing)
            pytest.skip(missing)
        return np.fromfile(raw, "<i2").astype(np.float32) / 32_768

    return frames


@pytest.fixture(scope="module")
def postgres_url() -> Iterator[str]:
    """Make an empty PostgreSQL database for the module; give its URL.

    The server is the one of VOICECHECK_POSTGRES, a URL of SQLAlchemy such as
    postgresql+psycopg://user@127.0.0.1:5432/postgres; its user must be allowed
    to create databases. A server that does not answer is an error, no skip.
    """
    import psycopg

    server = make_url(os.environ["VOICECHECK_POSTGRES"])
    plain = server.set(drivername="postgresql").render_as_string(hide_password=False)
    name = f"test_{uuid4().hex}"
    with psycopg.connect(plain, autocommit=True, connect_timeout=10) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield server.set(database=name).render_as_string(hide_password=False)
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Give a headless Chromium, for one module.

    VOICECHECK_BROWSER is 1 for the system's Chromium, or the path of one. For
    one module only: Playwright's event loop would get into the way of tests
    that run one of their own.
    """
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=_chromium(),
            # Chromium refuses its sandbox to root, and containers deny it.
            args=["--no-sandbox", "--disable-dev-shm-usage"],
        )
        yield browser
        browser.close()


def _chromium() -> str:
    wanted = os.environ["VOICECHECK_BROWSER"]
    names = ("chromium", "chromium-browser") if wanted == "1" else (wanted,)
    for name in names:
        if path := shutil.which(name):
            return path
    pytest.fail(f"no browser {' or '.join(names)}: install the package chromium")


@pytest.fixture
def console_errors() -> list[str]:
    """What the page complained about; a test that wants an error clears it."""
    return []


@pytest.fixture
def browser_page(browser: Browser, console_errors: list[str]) -> Iterator[Page]:
    """Give a page with a clean profile; an error on its console fails the test."""
    context = browser.new_context()
    page = context.new_page()
    page.on("pageerror", lambda error: console_errors.append(str(error)))
    page.on(
        "console",
        lambda message: (
            console_errors.append(message.text) if message.type == "error" else None
        ),
    )
    yield page
    context.close()
    assert console_errors == []


@pytest.fixture
def axe() -> Axe:
    """Give a function that returns the accessibility faults of a page.

    One line for each rule that fails: its id and the first element. The rules are
    those of axe-core for WCAG 2.2, levels A and AA, and its best practices.
    """
    from axe_playwright_python.sync_playwright import Axe as Checker

    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    options = {
        "runOnly": {"type": "tag", "values": tags},
        "rules": {"target-size": {"enabled": True}},  # axe leaves it out by itself
    }

    def faults(page: Page) -> list[str]:
        result: dict[str, Any] = Checker().run(page, options=options).response
        return [
            f"{fault['id']}: {fault['nodes'][0]['html']}"
            for fault in result["violations"]
        ]

    return faults
