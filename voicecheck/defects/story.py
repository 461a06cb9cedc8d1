"""The story of a defect: its events, tied by hashes, folded into a state.

Each event carries the hashes of the newest events that its writer knew. One
computer gives a chain. Two that wrote without knowing of each other give a
fork: both sides are kept, and the next event that knows both joins them again.

Whatever forks there are, the fold leans to the safe side: a repair, a check or
a release speaks only for what its writer knew of. A sighting that the writer
did not know keeps the defect open, and the machine out of service if it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.defects.events import (
    DefectEvent,
    DefectFound,
    RepairChecked,
    RepairDone,
    RepairStarted,
    Sighting,
    StillThere,
    UnitReleased,
)
from voicecheck.errors import JournalDamaged
from voicecheck.round.answers import Severity


class DefectState(StrEnum):
    """How far a defect has come."""

    FOUND = "found"
    BEING_REPAIRED = "being_repaired"
    REPAIRED = "repaired"
    CHECKED = "checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """One event in the story of a defect: what, when and by whom."""

    defect_id: str
    seq: int
    """1 for the first; one more than the highest of `previous`."""
    at_utc: str
    by: str
    event: DefectEvent
    previous: tuple[str, ...]
    """Hashes of the newest events that the writer knew, sorted."""
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """Where a defect stands."""

    defect_id: str
    unit: str
    checkpoint_id: str
    title: str
    words: str
    """Of the newest sighting."""
    severity: Severity
    """The worst that was ever seen: a finding can raise it, nothing lowers it."""
    state: DefectState
    holding: bool
    """It keeps the machine out of service until a competent person's release."""
    found_utc: str
    found_by: str
    last_utc: str
    closed_utc: str | None
    """When the repair was checked (and the machine released); None: still open."""
    sightings: int
    conflict: bool
    """Two computers wrote without knowing of each other."""
    heads: tuple[str, ...]
    """Hashes of the newest events."""

    @property
    def open(self) -> bool:
        """Tell whether anything has still to be done about it."""
        return self.closed_utc is None


def fold(happenings: Iterable[Happening]) -> Defect:
    """Return where a defect stands after these events, given in any order.

    Raises:
        JournalDamaged: there is no first event, or one is missing in between.
    """
    story = in_order(happenings)
    first = story[0].event
    assert isinstance(first, DefectFound)
    known = _known_to(story)
    state, effective = _state(story, known)
    holding = _holding(story, known, effective)
    closing = state is DefectState.CHECKED and not holding
    seen = [(one, sighting_of(one.event)) for one in story]
    sightings = [sighting for _, sighting in seen if sighting is not None]
    heads = newest(story)
    return Defect(
        defect_id=story[0].defect_id,
        unit=first.unit,
        checkpoint_id=first.checkpoint_id,
        title=first.title,
        words=sightings[-1].words,
        severity=max((s.severity for s in sightings), key=lambda s: s.rank),
        state=state,
        holding=holding,
        found_utc=story[0].at_utc,
        found_by=story[0].by,
        last_utc=max(one.at_utc for one in story),
        closed_utc=_closed(effective) if closing else None,
        sightings=len(sightings),
        conflict=len(heads) > 1,
        heads=heads,
    )


def in_order(happenings: Iterable[Happening]) -> tuple[Happening, ...]:
    """Return events so that each stands after all that its writer knew.

    Raises:
        JournalDamaged: there is not one first event, or one is missing.
    """
    story = sorted(happenings, key=lambda one: (one.seq, one.at_utc, one.sha256))
    hashes = {one.sha256 for one in story}
    firsts = [one for one in story if not one.previous]
    missing = any(set(one.previous) - hashes for one in story)
    if (
        len(firsts) != 1
        or missing
        or not isinstance(firsts[0].event, DefectFound)
        or sum(isinstance(one.event, DefectFound) for one in story) != 1
    ):
        name = story[0].defect_id if story else "?"
        raise JournalDamaged(
            f"the story of defect {name} is not whole; keep the store as it is and "
            "show it to whoever answers for records"
        )
    return tuple(story)


def newest(story: Sequence[Happening]) -> tuple[str, ...]:
    """Return the hashes of the events that no other one knows of, sorted."""
    followed = {sha256 for one in story for sha256 in one.previous}
    return tuple(sorted(one.sha256 for one in story if one.sha256 not in followed))


def sighting_of(event: DefectEvent) -> Sighting | None:
    """Return what was seen, if the event is a sighting."""
    return event.sighting if isinstance(event, DefectFound | StillThere) else None


def _known_to(story: Sequence[Happening]) -> Mapping[str, frozenset[str]]:
    """For each event, the hashes of all events that its writer knew."""
    known: dict[str, frozenset[str]] = {}
    for one in story:
        earlier = [known[sha256] | {sha256} for sha256 in one.previous]
        known[one.sha256] = frozenset().union(*earlier)
    return known


def _state(
    story: Sequence[Happening], known: Mapping[str, frozenset[str]]
) -> tuple[DefectState, tuple[Happening, ...]]:
    """Return the state, and the events that brought it forward."""
    state = DefectState.FOUND
    effective: list[Happening] = []
    for one in story:
        after = _after(state, one.event)
        if after is not state or isinstance(one.event, UnitReleased):
            effective.append(one)
        state = after
    if state in (DefectState.REPAIRED, DefectState.CHECKED):
        steps = [e for e in effective if isinstance(e.event, RepairDone)]
        checks = [e for e in effective if isinstance(e.event, RepairChecked)]
        speaking = checks[-1:] if state is DefectState.CHECKED else steps[-1:]
        seen = {one.sha256 for one in story if sighting_of(one.event)}
        if not speaking or seen - known[speaking[0].sha256]:
            return DefectState.FOUND, tuple(effective)
    return state, tuple(effective)


def _after(state: DefectState, event: DefectEvent) -> DefectState:
    """Return the next state; an event that does not fit changes nothing."""
    match event:
        case RepairStarted() if state is DefectState.FOUND:
            return DefectState.BEING_REPAIRED
        case RepairDone() if state in (DefectState.FOUND, DefectState.BEING_REPAIRED):
            return DefectState.REPAIRED
        case RepairChecked() if state is DefectState.REPAIRED:
            return DefectState.CHECKED if event.good else DefectState.FOUND
        case StillThere() if state is not DefectState.BEING_REPAIRED:
            return DefectState.FOUND  # the repair did not hold
    return state


def _holding(
    story: Sequence[Happening],
    known: Mapping[str, frozenset[str]],
    effective: Sequence[Happening],
) -> bool:
    """Tell whether a sighting that holds is not covered by any release.

    A release counts when its writer knew of a check that the repair is good, and of
    no sighting after that check: what was seen again is not repaired.
    """
    seen = {one.sha256 for one in story if sighting_of(one.event)}
    checked = [
        one.sha256
        for one in effective
        if isinstance(one.event, RepairChecked) and one.event.good
    ]
    covered: set[str] = set()
    for one in story:
        if isinstance(one.event, UnitReleased):
            for check in known[one.sha256] & set(checked):
                if seen & known[one.sha256] <= known[check]:
                    covered |= known[check]  # what was seen after the check is not
    return any(
        (sighting := sighting_of(one.event)) is not None
        and sighting.holds
        and one.sha256 not in covered
        for one in story
    )


def _closed(effective: Sequence[Happening]) -> str:
    ends = (RepairChecked, UnitReleased)
    return max(one.at_utc for one in effective if isinstance(one.event, ends))
