"""A machine that is out of service stays so until a competent person's release."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.defects.story import Defect, DefectState
from voicecheck.defects.wording import HoldWording
from voicecheck.errors import DefectChanged, UnitHeld
from voicecheck.record.canonical import sha256_of


def holding(defects: Iterable[Defect]) -> tuple[Defect, ...]:
    """Return those that keep their machine out of service."""
    return tuple(defect for defect in defects if defect.holding)


def ready(defects: Iterable[Defect]) -> bool:
    """Tell whether all that hold their machine are repaired at the least."""
    repaired = (DefectState.REPAIRED, DefectState.CHECKED)
    return all(defect.state in repaired for defect in holding(defects))


def seen_mark(defects: Iterable[Defect]) -> str:
    """Return a short text that changes with every event of these defects."""
    return sha256_of(sorted(head for one in defects for head in one.heads))[:16]


def check_seen(defects: Iterable[Defect], seen: str | None) -> None:
    """Refuse to write about defects that went on since somebody looked at them.

    Args:
        defects: as they are now.
        seen: what `seen_mark` gave when they were shown; None: not asked.

    Raises:
        DefectChanged: somebody has written about them since.
    """
    if seen is not None and seen != seen_mark(defects):
        raise DefectChanged(
            "something was written about it since it was shown; nothing was "
            "changed: look at it again, then repeat"
        )


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
        f'voicecheck defects release "{unit}" --by NAME',
        unit=unit,
    )


def tag_lines(
    unit: str, defects: Iterable[Defect], language: str = "en"
) -> tuple[str, ...]:
    """Return what the tag says, and each open defect, a line each."""
    at = HoldWording(language)
    head = f"{at.say('signal')}. {at.say('message')}. {at.say('held', unit=unit)}"
    return (head, *(at.defect(defect) for defect in defects))
