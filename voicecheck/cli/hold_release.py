"""A walk on a machine that is out of service: read out the tag, ask for a release."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from voicecheck.defects.wording import HoldWording

__all__ = ["SPOKEN", "Releases", "keyboard", "may_begin", "spoken", "typed"]

SPOKEN = frozenset({"en"})
"""Languages in which a release may be spoken: a yes is heard surely. A Korean yes
is not: the confidence of its recogniser ends at about 0.96 (measured with
synthetic voices), below what a yes needs to be taken unread."""

Ask = Callable[[str], str]
"""Puts a question to a person at the keyboard."""
Releases = Callable[[str, "HoldWording"], str]
"""Asks who releases this machine; empty: nobody does."""


def may_begin(
    unit: str,
    *,
    say: Callable[[str], None],
    releases: Releases | None,
    language: str = "en",
) -> bool:
    """Tell whether a walk may begin; nothing is asked of a machine in service.

    Of one that is out of service the tag and the open defects are read out, and
    only the competent person's release is asked for. Whatever else is answered
    leaves it out of service, and so does a defect that came up in between.

    Args:
        unit: the machine.
        say: reads a line out.
        releases: asks for the release, `typed` or `spoken`; None: nobody is
            there to be asked.
        language: of what is read out.

    Raises:
        UsageError: the unit or the name has characters it cannot have.
    """
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.defects.hold import (  # noqa: PLC0415
        holding,
        ready,
        seen_mark,
        tag_lines,
    )
    from voicecheck.defects.wording import HoldWording  # noqa: PLC0415
    from voicecheck.store.names import unit_id  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    name, at = unit_id(unit), HoldWording(language)
    with Workshop.open() as workshop:
        open_ones = workshop.open_defects(name)
        if not holding(open_ones):
            return True
        for line in tag_lines(name, open_ones, language):
            say(line)
        if not ready(open_ones):
            say(at.say("not_ready", unit=name))
            return False
        by = releases(name, at).strip() if releases is not None else ""
        if not by:
            say(at.say("stays", unit=name))
            return False
        seen = seen_mark(open_ones)
        workshop.release(name, at=SystemClock().now(), by=by, seen=seen)
    say(at.say("released", unit=name, by=by))
    return True


def keyboard() -> Ask | None:
    """Return what asks at the keyboard, or None when nobody is there."""
    if not sys.stdin.isatty():
        return None
    return lambda question: str(typer.prompt(question, default="", err=True))


def typed(ask: Ask | None, *, by: str = "") -> Releases | None:
    """Ask at the keyboard: a name, then the word release.

    Args:
        ask: puts a question; None: nobody is there.
        by: the competent person, if known already.
    """
    if ask is None:
        return None

    def releases(unit: str, at: HoldWording) -> str:
        del unit  # its tag was read out
        name = by or ask(at.say("who")).strip()
        if not name:
            return ""
        word = ask(at.say("type_release", by=name)).strip().lower()
        return name if word in {at.say("word"), "release"} else ""

    return releases


def spoken(
    said_yes: Callable[[str], bool], ask: Ask | None, *, by: str = ""
) -> Releases | None:
    """Ask aloud: two clear yeses, the second to a read-back of who and what.

    The name is typed, or given beforehand: names are in no grammar, and one that
    is misheard would put the release on somebody else.

    Args:
        said_yes: asks aloud, and tells whether a yes was heard surely.
        ask: puts a question at the keyboard; None: nobody is there.
        by: the competent person, if given beforehand.
    """
    if not by and ask is None:
        return None

    def releases(unit: str, at: HoldWording) -> str:
        name = by or (ask(at.say("who")).strip() if ask is not None else "")
        questions = ("ask_release", "ask_sure")
        agreed = bool(name) and all(
            said_yes(at.say(question, unit=unit, by=name)) for question in questions
        )
        return name if agreed else ""

    return releases
