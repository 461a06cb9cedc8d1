"""Somebody who uses the server's pages without a browser, for tests.

Reads forms as they stand in the pages and sends them in, as a browser without
scripts would.
"""

from __future__ import annotations

from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any

from starlette.testclient import TestClient

from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checklist
from voicecheck.round.probing import to_parts
from voicecheck.round.walk import AskCheckpoint, Climb, SumUp
from voicecheck.store.ports import Journal
from voicecheck.store.session import replayed


class Forms(HTMLParser):
    """All forms of a page: address, hidden fields, and values of buttons."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str], list[tuple[str, str]]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Collect what belongs to forms."""
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.found.append((given.get("action", ""), {}, []))
        elif tag == "input" and given.get("type") == "hidden" and self.found:
            self.found[-1][1][given["name"]] = given["value"]
        elif tag == "button" and "name" in given and self.found:
            self.found[-1][2].append((given["name"], given["value"]))


class Browsing:
    """A visitor with cookies.

    Args:
        app: made by `voicecheck.server.app.create_app`; it must answer to the
            name `testserver`.
        raises: let errors of the server through instead of showing a page.
    """

    def __init__(self, app: Any, *, raises: bool = True) -> None:
        self.client = TestClient(app, raise_server_exceptions=raises)
        self.text = ""
        self.status = 0
        self.address = "/"

    def open(self, address: str) -> str:
        """Open a page; return its text."""
        return self._took(self.client.get(address))

    def send(self, action: str, **fields: str) -> str:
        """Send the form of the open page with this address; return the next page.

        Hidden fields go along as they stand in the page.
        """
        hidden = next(h for a, h, _ in Forms(self.text).found if a == action)
        return self._took(self.client.post(action, data={**hidden, **fields}))

    def buttons(self) -> list[tuple[str, str]]:
        """Return name and value of every button of the open page."""
        return [button for _, _, values in Forms(self.text).found for button in values]

    def begin(self, unit: str, checklist: str, operator: str = "") -> str:
        """Begin a walk; return its id."""
        self.open("/walks/new")
        self.send("/walks", unit=unit, checklist=checklist, operator=operator)
        return self.address.rpartition("/")[2]

    def press(self, walk_id: str, meaning: str) -> str:
        """Press the button of an answer."""
        return self.send(f"/walks/{walk_id}/answer", meaning=meaning)

    def answer(
        self,
        walk_id: str,
        journal: Journal,
        checklist: Checklist,
        answers: Mapping[str, Answer],
        until: str = "",
    ) -> None:
        """Answer point after point, climbs included, until a point or the summary."""
        while True:
            walk = replayed(checklist, journal.entries(walk_id))
            match walk.task:
                case Climb():
                    self.press(walk_id, "done")
                case AskCheckpoint(checkpoint=point) if point.id != until:
                    self._answer(walk_id, to_parts(point, answers[point.id]))
                case _:
                    assert isinstance(walk.task, SumUp) or until
                    return

    def _answer(self, walk_id: str, parts: Mapping[Any, str]) -> None:
        for meaning in parts.values():
            if ("meaning", meaning) in self.buttons():
                self.press(walk_id, meaning)
            elif meaning[0].isdigit():
                self.send(f"/walks/{walk_id}/typed", text=meaning)

    def _took(self, response: Any) -> str:
        self.text, self.status = response.text, response.status_code
        self.address = response.url.path
        return self.text
