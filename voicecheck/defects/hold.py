"""A machine that is out of service stays so until a competent person's release."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.defects.steps import words
from voicecheck.defects.story import Defect
from voicecheck.errors import UnitHeld

SIGNAL_WORD = "DANGER"
"""Source: 29 CFR 1910.145(f): a tag has a signal word and a major message."""
MESSAGE = "DO NOT OPERATE"
"""Source: 29 CFR 1910.147(c)(5)(iii), among the legends of tags."""


def holding(defects: Iterable[Defect]) -> tuple[Defect, ...]:
    """Return those that keep their machine out of service."""
    return tuple(defect for defect in defects if defect.holding)


def check_released(defects: Iterable[Defect]) -> None:
    """Refuse to begin a walk on a machine that is out of service.

    Raises:
        UnitHeld: a defect holds it; the text reads out the tag and the defects.
    """
    open_ones = tuple(defects)
    held = holding(open_ones)
    if not held:
        return
    unit = held[0].unit
    raise UnitHeld(
        "\n".join(tag_lines(unit, open_ones))
        + "\nWhen the repairs are checked, a competent person releases it: "
        f'voicecheck defects release "{unit}" --by NAME'
    )


def tag_lines(unit: str, defects: Iterable[Defect]) -> tuple[str, ...]:
    """Return what the tag says, and each open defect, a line each."""
    lines = [f"{SIGNAL_WORD}. {MESSAGE}. {unit} is out of service."]
    for defect in defects:
        holds = ", keeps it out of service" if defect.holding else ""
        lines.append(
            f"{defect.title} {defect.words}. Found {defect.found_utc[:10]} by "
            f"{defect.found_by}, {defect.severity.value}, {words(defect.state)}{holds}."
        )
    return tuple(lines)
