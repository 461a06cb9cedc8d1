"""A walk on a machine that is out of service: read out the tag, ask for a release."""

from __future__ import annotations

import sys
from collections.abc import Callable

import typer

__all__ = ["keyboard", "may_begin"]


def may_begin(
    unit: str,
    *,
    say: Callable[[str], None],
    ask: Callable[[str], str] | None,
) -> bool:
    """Tell whether a walk may begin; nothing is asked of a machine in service.

    Of one that is out of service the tag and the open defects are read out, and
    only the competent person's release is asked for: a name, then the word
    release. Anything else leaves it out of service.

    Args:
        unit: the machine.
        say: reads a line out.
        ask: puts a question to a person; None: nobody is there to be asked.

    Raises:
        UsageError: the unit or the name has characters it cannot have.
    """
    from voicecheck.defects.hold import holding, tag_lines  # noqa: PLC0415
    from voicecheck.defects.story import DefectState  # noqa: PLC0415
    from voicecheck.store.names import unit_id  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    name = unit_id(unit)
    with Workshop.open() as workshop:
        open_ones = workshop.open_defects(name)
        held = holding(open_ones)
        if not held:
            return True
        for line in tag_lines(name, open_ones):
            say(line)
        ready = (DefectState.REPAIRED, DefectState.CHECKED)
        if any(one.state not in ready for one in held):
            say(f"{name} cannot be released: not everything that holds it is repaired.")
            return False
        by = _release(ask)
        if not by:
            say(f"{name} stays out of service.")
            return False
        from voicecheck.clock import SystemClock  # noqa: PLC0415

        workshop.release(name, at=SystemClock().now(), by=by)
    say(f"{name} is released by {by}. Now walk round it.")
    return True


def keyboard() -> Callable[[str], str] | None:
    """Return what asks at the keyboard, or None when nobody is there."""
    if not sys.stdin.isatty():
        return None
    return lambda question: str(typer.prompt(question, default="", err=True))


def _release(ask: Callable[[str], str] | None) -> str:
    """Return who releases the machine; empty: nobody."""
    if ask is None:
        return ""
    by = ask("Competent person who checked the repairs and releases it (empty: nobody)")
    if not by.strip():
        return ""
    word = ask(f"{by.strip()}: type release to put it back to work")
    return by.strip() if word.strip().lower() == "release" else ""
