"""Leaks: a place of the part, a fluid that can be there, and a class.

A fluid must be one that the seat of the part can lose and that the checkpoint
takes; so no rim leaks engine oil. Class III comes with what is known of the
level, because the rules ask for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase

from voicecheck.learn.situations.files import Facts
from voicecheck.learn.situations.schema import PartEntry, SeatEntry
from voicecheck.learn.situations.sight import Sight
from voicecheck.learn.situations.slots import filled
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    Reason,
)
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind
from voicecheck.round.probing import fluids_at

_KNOWN_LEVELS = {"between": Level.BETWEEN, "low": Level.LOW}


def leak_sights(
    known: Facts, part: PartEntry, checklist: Checklist, checkpoint: Checkpoint
) -> Iterator[Sight]:
    """Yield every leak that can be described at a checkpoint."""
    if checkpoint.kind is not CheckpointKind.CONDITION:
        return
    if not checkpoint.fluids and not part.any_fluid:
        return
    allowed = fluids_at(checklist, checkpoint)
    numbers: dict[str, int] = {}
    for seat in part.seats:
        if not _is_here(seat, checkpoint):
            continue
        for fluid in seat.fluids:
            if fluid not in allowed or fluid not in known.leaks.cautions:
                continue
            for kind, text, leak, levels in _looks(known, checklist, seat, fluid):
                number = numbers.get(kind, 0)
                numbers[kind] = number + 1
                yield Sight(
                    kind=kind,
                    number=number,
                    text=text,
                    answer=leak,
                    known_levels=levels,
                    caution=known.leaks.cautions[fluid],
                )


def _is_here(seat: SeatEntry, checkpoint: Checkpoint) -> bool:
    if not seat.points:
        return True
    return any(fnmatchcase(checkpoint.id, pattern) for pattern in seat.points)


Look = tuple[str, str, Leak, tuple[tuple[str, Answer], ...]]


def _looks(
    known: Facts, checklist: Checklist, seat: SeatEntry, fluid: str
) -> Iterator[Look]:
    words = {"seat": seat.text, "fluid": checklist.fluid(fluid).name}
    for leak_class in LeakClass:
        leak = Leak(fluid=fluid, leak_class=leak_class)
        kind = f"leak/{fluid}/{leak_class}"
        for look in known.leaks.classes[leak_class].texts:
            text = filled(look, known.amounts, words)[0]
            if leak_class is not LeakClass.THREE:
                yield kind, text, leak, ()
                continue
            for name, levels in _levels(checklist, fluid):
                told = filled(known.leaks.levels[name], known.amounts, words)[0]
                yield f"{kind}/{name}", f"{text} {told}", leak, levels


def _levels(
    checklist: Checklist, fluid: str
) -> Iterator[tuple[str, tuple[tuple[str, Answer], ...]]]:
    """Yield what can be known of the level of a fluid.

    Where the only level of such an oil belongs to another case, nothing can be
    said of this one: then no class III is described.
    """
    gauges = [point.id for point in checklist.checkpoints if point.level_of == fluid]
    gauge = f"{fluid}_level"
    if not gauges:
        yield "none", ()
    elif gauges == [gauge]:
        yield "unknown", ((gauge, CouldNotCheck(reason=Reason.NO_ACCESS)),)
        for name, level in _KNOWN_LEVELS.items():
            yield name, ((gauge, LevelSeen(level=level)),)
