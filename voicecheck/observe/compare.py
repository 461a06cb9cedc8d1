"""Two assessors of one walk, point by point."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from voicecheck.errors import ObserveError
from voicecheck.observe.keeping import started
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.observation import Observation
from voicecheck.round.checklist import Checklist
from voicecheck.statistics.agreement import (
    Kappa,
    Weights,
    agreement_table,
    weighted_kappa,
)

LOOKS = (MarkKind.LOOKED, MarkKind.GLANCED, MarkKind.MISSED)
"""From best to worst: the categories of the weighted kappa."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one assessor marked at one point."""

    look: MarkKind | None
    called: bool
    out_of_order: bool
    acts: tuple[UnsafeAct, ...]
    notes: tuple[str, ...]

    @property
    def marked(self) -> bool:
        """Tell whether anything was marked."""
        return bool(self.look or self.called or self.out_of_order or self.acts)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointPair:
    """One point as two assessors saw it."""

    checkpoint: str
    first: Seen
    second: Seen

    @property
    def both(self) -> bool:
        """Tell whether both marked something."""
        return self.first.marked and self.second.marked

    @property
    def apart(self) -> int:
        """How far they lie apart: 0 agree; unsafe acts and calls weigh most."""
        steps = 0
        if self.first.look and self.second.look:
            steps = abs(LOOKS.index(self.first.look) - LOOKS.index(self.second.look))
        if self.first.called != self.second.called:
            steps += len(LOOKS)
        if set(self.first.acts) != set(self.second.acts):
            steps += 2 * len(LOOKS)
        return steps + (self.first.out_of_order != self.second.out_of_order)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All points, and how far the two agree."""

    first: Observation
    second: Observation
    pairs: tuple[PointPair, ...]
    """Points that one of them marked, in the order of the checklist."""
    looks: Kappa
    """Linear weights, over points where both marked a look."""
    calls: Kappa
    """Over points that both marked: called or not."""
    elsewhere: tuple[tuple[UnsafeAct, ...], tuple[UnsafeAct, ...]]
    """Unsafe acts at no point, of each."""
    minutes_apart: float
    """Between the beginnings."""

    @property
    def to_talk_about(self) -> tuple[PointPair, ...]:
        """Points where they differ, the farthest apart first."""
        differ = [pair for pair in self.pairs if pair.both and pair.apart]
        return tuple(sorted(differ, key=lambda pair: -pair.apart))

    @property
    def only_one(self) -> tuple[PointPair, ...]:
        """Points that only one of them marked."""
        return tuple(pair for pair in self.pairs if not pair.both)


def compare(
    first: Observation, second: Observation, checklist: Checklist
) -> Comparison:
    """Hold two observations of one walk against each other.

    Raises:
        ObserveError: they are of different trainees, units or checklists, by the
            same assessor, or one and the same.
    """
    one, other = started(first), started(second)
    if first.observation == second.observation or one.by == other.by:
        raise ObserveError("compare the observations of two assessors")
    if (one.trainee, one.unit) != (other.trainee, other.unit):
        raise ObserveError(
            f"one is of {one.trainee} on {one.unit}, the other of {other.trainee} on "
            f"{other.unit}; compare two of one walk"
        )
    if {one.checklist_sha256, other.checklist_sha256} != {checklist.sha256}:
        raise ObserveError("the two are not both on this version of the checklist")
    pairs = tuple(
        pair
        for pair in (
            PointPair(
                checkpoint=point.id,
                first=_seen(first, point.id),
                second=_seen(second, point.id),
            )
            for point in checklist.checkpoints
        )
        if pair.first.marked or pair.second.marked
    )
    away = datetime.fromisoformat(one.at_utc) - datetime.fromisoformat(other.at_utc)
    return Comparison(
        first=first,
        second=second,
        pairs=pairs,
        looks=_looks(pairs),
        calls=_calls(pairs),
        elsewhere=(_acts(first, None), _acts(second, None)),
        minutes_apart=abs(away.total_seconds()) / 60,
    )


def _seen(observation: Observation, checkpoint: str) -> Seen:
    marks = observation.at(checkpoint)
    return Seen(
        look=observation.look(checkpoint),
        called=any(mark.kind is MarkKind.CALLED for mark in marks),
        out_of_order=any(mark.kind is MarkKind.OUT_OF_ORDER for mark in marks),
        acts=_acts(observation, checkpoint),
        notes=tuple(mark.note for mark in marks if mark.note),
    )


def _acts(observation: Observation, checkpoint: str | None) -> tuple[UnsafeAct, ...]:
    return tuple(
        mark.act or UnsafeAct.OTHER
        for mark in observation.marks
        if mark.kind is MarkKind.UNSAFE and mark.checkpoint == checkpoint
    )


def _looks(pairs: tuple[PointPair, ...]) -> Kappa:
    rated = [
        (LOOKS.index(pair.first.look), LOOKS.index(pair.second.look))
        for pair in pairs
        if pair.first.look is not None and pair.second.look is not None
    ]
    return weighted_kappa(agreement_table(rated, len(LOOKS)), Weights.LINEAR)


def _calls(pairs: tuple[PointPair, ...]) -> Kappa:
    rated = [
        (int(pair.first.called), int(pair.second.called)) for pair in pairs if pair.both
    ]
    return weighted_kappa(agreement_table(rated, 2), Weights.NONE)
