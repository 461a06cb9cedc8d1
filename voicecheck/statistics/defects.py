"""Defects as they can be told from walks alone: found, seen good, found again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from voicecheck.statistics.survival import Span

HOUR_S = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a walk said of one checkpoint."""

    unit: str
    checkpoint: str
    at: datetime
    bad: bool
    """A finding; False: looked at and good. A point not looked at is no `Seen`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectLife:
    """One defect from found to repaired."""

    unit: str
    checkpoint: str
    opened: datetime
    repaired: datetime | None
    """None: still open. From walks alone: when it was first seen good again."""
    last_seen: datetime
    """When it was last seen bad."""


def lives(seen: Sequence[Seen]) -> tuple[DefectLife, ...]:
    """Return the defects of all checkpoints, by the time they were found.

    A defect begins with a finding and ends with the first look that was good;
    the repair itself lies between the last bad and that look, so that times to
    repair told this way are never too short.
    """
    done: list[DefectLife] = []
    begun: dict[tuple[str, str], DefectLife] = {}
    for look in sorted(seen, key=lambda look: look.at):
        key = (look.unit, look.checkpoint)
        life = begun.get(key)
        if look.bad:
            begun[key] = DefectLife(
                unit=look.unit,
                checkpoint=look.checkpoint,
                opened=life.opened if life else look.at,
                repaired=None,
                last_seen=look.at,
            )
        elif life is not None:
            del begun[key]
            done.append(
                DefectLife(
                    unit=life.unit,
                    checkpoint=life.checkpoint,
                    opened=life.opened,
                    repaired=look.at,
                    last_seen=life.last_seen,
                )
            )
    every = [*done, *begun.values()]
    return tuple(sorted(every, key=lambda d: (d.opened, d.unit, d.checkpoint)))


def repair_spans(defects: Sequence[DefectLife], until: datetime) -> tuple[Span, ...]:
    """Return hours to repair; what is open at `until` is censored there."""
    spans = []
    for defect in defects:
        if defect.opened > until:
            continue
        happened = defect.repaired is not None and defect.repaired <= until
        end = defect.repaired if happened and defect.repaired else until
        hours = (end - defect.opened).total_seconds() / HOUR_S
        spans.append(Span(duration=max(hours, 0.0), happened=happened))
    return tuple(spans)


def repeats(defects: Sequence[DefectLife]) -> tuple[tuple[str, str, int], ...]:
    """Return unit, checkpoint and times found, where a repair did not last.

    Only what came again after it was repaired counts, the most frequent first.
    """
    counts: dict[tuple[str, str], int] = {}
    for defect in defects:
        key = (defect.unit, defect.checkpoint)
        counts[key] = counts.get(key, 0) + 1
    often = [(*key, count) for key, count in counts.items() if count > 1]
    return tuple(sorted(often, key=lambda row: (-row[2], row[0], row[1])))
