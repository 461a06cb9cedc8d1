"""What was typed into a form of the workshop: an event, or what is wrong with it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from voicecheck.defects.events import (
    DefectEvent,
    RepairChecked,
    RepairDone,
    RepairStarted,
)
from voicecheck.errors import UsageError
from voicecheck.server.words import Words
from voicecheck.store.names import operator_id

MOST_HOURS_H = 100_000
"""As `voicecheck.defects.steps.check_step` has it."""
LONGEST_TEXT = 500
"""Characters of what was done, of parts, and of a note."""
LONGEST_NUMBER = 20

Given = Mapping[str, str]
"""Fields by their names, as they were typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A form that says what it has to."""

    by: str
    event: DefectEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """A form that does not."""

    problems: Mapping[str, str]
    """A sentence for each field that is wrong."""


def started(given: Given, t: Words) -> Filled | Unfit:
    """Read that somebody took a defect in hand."""
    by, problems = _by(given, t)
    if problems:
        return Unfit(problems=problems)
    return Filled(by=by, event=RepairStarted(note=plain(given, "note")))


def repaired(given: Given, t: Words) -> Filled | Unfit:
    """Read what was done, with which parts, in how many hours."""
    by, problems = _by(given, t)
    done, hours_h = plain(given, "done"), _hours_h(given.get("hours", ""))
    if not done:
        problems["done"] = t("done_missing")
    if hours_h is None:
        problems["hours"] = t("hours_unfit")
    if problems or hours_h is None:
        return Unfit(problems=problems)
    event = RepairDone(done=done, parts=plain(given, "parts"), hours_h=hours_h)
    return Filled(by=by, event=event)


def checked(given: Given, t: Words) -> Filled | Unfit:
    """Read whether a repair is good: nothing is taken for a yes but yes."""
    by, problems = _by(given, t)
    good = given.get("good", "")
    if good not in {"yes", "no"}:
        problems["good"] = t("good_missing")
    if problems:
        return Unfit(problems=problems)
    event = RepairChecked(good=good == "yes", note=plain(given, "note"))
    return Filled(by=by, event=event)


def releasing(given: Given, t: Words) -> tuple[str, dict[str, str]]:
    """Read who releases a machine, and that they mean it; problems by field."""
    by, problems = _by(given, t)
    if given.get("sure", "") != "yes":
        problems["sure"] = t("sure_missing")
    return by, problems


def plain(given: Given, name: str) -> str:
    """Return a text on one line."""
    return " ".join(given.get(name, "").split())


def _by(given: Given, t: Words) -> tuple[str, dict[str, str]]:
    text = given.get("by", "")
    try:
        by = operator_id(text)
    except UsageError:
        return "", {"by": t("by_unfit")}
    return by, {} if by else {"by": t("by_missing")}


def _hours_h(text: str) -> float | None:
    """Return hours of work; none given is 0, what is no such number None."""
    if not text.strip():
        return 0.0
    try:
        hours_h = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    fits = math.isfinite(hours_h) and 0 <= hours_h < MOST_HOURS_H
    return hours_h if fits else None
