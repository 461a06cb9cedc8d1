"""No sequence of events loses a defect, or frees a machine without a release."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

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
from voicecheck.defects.hold import check_released, tag_lines
from voicecheck.defects.steps import check_step, event_data, event_of, kind_of, written
from voicecheck.defects.story import Defect, DefectState, Happening, fold, newest
from voicecheck.errors import DefectError, JournalDamaged, UnitHeld
from voicecheck.record.canonical import canonical
from voicecheck.round.answers import Severity

D = "00000000-0000-4000-8000-0000000000d1"
AT = "2026-03-03T06:00:00.000Z"

sightings = st.builds(
    Sighting,
    walk_id=st.just("w"),
    severity=st.sampled_from(Severity),
    holds=st.booleans(),
    words=st.just("cracked"),
)
later: st.SearchStrategy[DefectEvent] = st.one_of(
    st.builds(StillThere, sighting=sightings),
    st.just(RepairStarted()),
    st.just(RepairDone(done="welded")),
    st.builds(RepairChecked, good=st.booleans()),
    st.just(UnitReleased()),
)


def found(sighting: Sighting) -> DefectFound:
    """Return the first event of a defect."""
    return DefectFound(
        unit="L-12", checkpoint_id="rim", title="Left rim", sighting=sighting
    )


def seen(severity: Severity = Severity.MAJOR, *, holds: bool = True) -> Sighting:
    """Return what a walk saw."""
    return Sighting(walk_id="w", severity=severity, holds=holds, words="cracked")


def chain(*events: DefectEvent) -> list[Happening]:
    """Return events as one chain, each writer knowing all before."""
    story: list[Happening] = []
    for event in events:
        known = tuple(story[-1:])
        story.append(written(D, event, at_utc=AT, by="J.Doe", known=known))
    return story


@st.composite
def stories(draw: Callable[..., Any]) -> list[Happening]:
    """Stories that fork and join as writers happen to know of each other."""
    story = chain(found(draw(sightings)))
    for event in draw(st.lists(later, max_size=9)):
        known = draw(st.lists(st.sampled_from(story), min_size=1, max_size=2))
        unique = tuple({one.sha256: one for one in known}.values())
        at_utc = f"2026-03-03T06:00:{len(story):02}.000Z"
        story.append(written(D, event, at_utc=at_utc, by="J.Doe", known=unique))
    return list({one.sha256: one for one in story}.values())


@settings(deadline=None)
@given(first=sightings, events=st.lists(later, max_size=12))
@example(
    first=Sighting(walk_id="w", severity=Severity.MAJOR, holds=True, words="cracked"),
    events=[
        RepairDone(done="welded"),
        RepairChecked(good=True),
        StillThere(
            sighting=Sighting(
                walk_id="w", severity=Severity.MINOR, holds=False, words="cracked"
            )
        ),
        UnitReleased(),
    ],
)
def test_no_chain_frees_a_machine_without_a_release(
    first: Sighting, events: list[DefectEvent]
) -> None:
    """Whatever is written, a defect that holds goes on holding until a release."""
    story = chain(found(first), *events)
    states = [fold(story[:length]) for length in range(1, len(story) + 1)]

    for (before, after), event in zip(pairwise(states), events, strict=True):
        if before.holding and not after.holding:
            assert isinstance(event, UnitReleased)
            assert before.state is DefectState.CHECKED


@settings(deadline=None)
@given(first=sightings, events=st.lists(later, max_size=12))
def test_no_chain_loses_a_defect(first: Sighting, events: list[DefectEvent]) -> None:
    """It is closed only after a repair and a good check that follow all sightings."""
    story = chain(found(first), *events)
    defect = fold(story)
    kinds = [type(event) for event in events]

    assert defect.sightings == 1 + kinds.count(StillThere)
    if not defect.open:
        checks = [
            place
            for place, event in enumerate(events)
            if isinstance(event, RepairChecked) and event.good
        ]
        last = checks[-1]
        assert any(isinstance(event, RepairDone) for event in events[:last])
        assert StillThere not in kinds[last:]


@settings(deadline=None)
@given(first=sightings, events=st.lists(later, max_size=12))
def test_severity_only_rises(first: Sighting, events: list[DefectEvent]) -> None:
    """Only a finding raises it, and nothing lowers it."""
    story = chain(found(first), *events)
    states = [fold(story[:length]) for length in range(1, len(story) + 1)]

    for (before, after), event in zip(pairwise(states), events, strict=True):
        assert after.severity.rank >= before.severity.rank
        if after.severity is not before.severity:
            assert isinstance(event, StillThere)


@settings(deadline=None)
@given(story=stories(), seed=st.integers(0, 1000))
def test_the_order_of_arrival_does_not_matter(
    story: list[Happening], seed: int
) -> None:
    """Two devices that exchange their events come to the same state."""
    shuffled = random.Random(seed).sample(story, len(story))

    assert fold(shuffled) == fold(story)


@settings(deadline=None)
@given(story=stories())
def test_no_fork_frees_a_machine_or_closes_over_an_unknown_sighting(
    story: list[Happening],
) -> None:
    """A release or check counts only for the sightings that its writer knew of."""
    defect = fold(story)
    by_hash = {one.sha256: one for one in story}

    def known_to(one: Happening) -> set[str]:
        known = set(one.previous)
        for sha256 in one.previous:
            known |= known_to(by_hash[sha256])
        return known

    def covered_by(kind: type, one: Happening) -> bool:
        others = [other for other in story if isinstance(other.event, kind)]
        return any(one.sha256 in known_to(other) for other in others)

    for one in story:
        sighting = getattr(one.event, "sighting", None)
        if sighting is None:
            continue
        if sighting.holds and not defect.holding:
            assert covered_by(UnitReleased, one)
        if not defect.open:
            assert covered_by(RepairChecked, one)
    assert defect.conflict == (len(newest(story)) > 1)


@settings(deadline=None)
@given(event=later)
def test_events_come_back_as_they_went_in(event: DefectEvent) -> None:
    """Through the text that the store keeps."""
    text = canonical(event_data(event)).decode()

    assert event_of(kind_of(event), text) == event


def test_the_plain_way_from_found_to_back_at_work() -> None:
    """Found, being repaired, repaired, checked; released only then."""
    events = (
        found(seen()),
        RepairStarted(),
        RepairDone(done="welded", parts="none", hours_h=2.5),
        RepairChecked(good=True),
        UnitReleased(),
    )
    story = chain(*events)
    defects = [fold(story[:length]) for length in range(1, 6)]

    assert [one.state.value for one in defects] == [
        "found",
        "being_repaired",
        "repaired",
        "checked",
        "checked",
    ]
    assert [one.holding for one in defects] == [True] * 4 + [False]
    assert [one.open for one in defects] == [True] * 4 + [False]


def test_a_repair_that_did_not_hold() -> None:
    """Seen again after the repair: found, not repaired."""
    story = chain(
        found(seen(holds=False)), RepairDone(done="x"), StillThere(sighting=seen())
    )

    assert fold(story).state is DefectState.FOUND


def test_a_release_before_the_repair_frees_nothing() -> None:
    """Source: 30 CFR 56.14100(c): use is prohibited until the defects are corrected."""
    defect = fold(chain(found(seen()), UnitReleased()))

    assert defect.holding
    with pytest.raises(DefectError, match="repaired and the repair is checked"):
        check_step(defect, UnitReleased(), "C.Poe")


@pytest.mark.parametrize(
    ("before", "event"),
    [
        ([], RepairChecked(good=True)),
        ([RepairStarted()], RepairStarted()),
        ([RepairDone(done="x")], RepairDone(done="x")),
        ([], RepairDone(done=" ")),
        ([], RepairDone(done="x", hours_h=-1.0)),
        ([], RepairDone(done="x", hours_h=float("nan"))),
        ([RepairDone(done="x"), RepairChecked(good=True)], RepairStarted()),
    ],
)
def test_a_step_that_does_not_fit_is_refused(
    before: list[DefectEvent], event: DefectEvent
) -> None:
    """With a sentence that says what is missing."""
    with pytest.raises(DefectError):
        check_step(fold(chain(found(seen()), *before)), event, "M.Roe")


def test_nobody_is_no_name() -> None:
    """Whoever writes is named."""
    with pytest.raises(DefectError, match="--by"):
        check_step(fold(chain(found(seen()))), RepairStarted(), " ")


def test_a_hole_in_the_story_is_found() -> None:
    """An event whose forerunner is missing is not passed over."""
    story = chain(found(seen()), RepairStarted(), RepairDone(done="x"))

    with pytest.raises(JournalDamaged, match="not whole"):
        fold([story[0], story[2]])


def test_the_tag_says_what_a_tag_says() -> None:
    """Signal word, message, unit, what is wrong, who and when.

    Source: 29 CFR 1910.145(f) (signal word and major message) and
    1910.147(c)(5)(iii) ("Do Not Operate" among the legends).
    """
    defect: Defect = fold(chain(found(seen())))

    text = " ".join(tag_lines("L-12", [defect]))

    for part in ("DANGER", "DO NOT OPERATE", "L-12", "cracked", "J.Doe", "2026-03-03"):
        assert part in text
    with pytest.raises(UnitHeld, match="release"):
        check_released([defect])
