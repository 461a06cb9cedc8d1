"""Hypothesis strategies in the words of the trade. Needs the extra `test`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from voicecheck.record.canonical import sha256_of
from voicecheck.round import answers as an
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    CheckpointKind,
    Place,
    ReadingSpec,
    Zone,
)
from voicecheck.round.probing import fluids_at
from voicecheck.store.wire import checklist_to_text
from voicecheck.testing.small_checklist import small_checklist

_SPEC = ReadingSpec(
    quantity="pressure",
    unit="kPa",
    plausible_min=Decimal(-100),
    plausible_max=Decimal(1000),
    low=Decimal("99.5"),
    high=Decimal("550.5"),
)


@st.composite
def checklists(draw: Callable[..., Any]) -> Checklist:
    """Small checklists: one to four zones, places and kinds in any order."""
    zones: list[Zone] = []
    for number in range(draw(st.integers(1, 4))):
        kinds = draw(st.lists(st.sampled_from(CheckpointKind), min_size=1, max_size=3))
        zones.append(
            Zone(
                id=f"zone{number}",
                title=f"zone {number}",
                place=draw(st.sampled_from(Place)),
                from_station="a",
                to_station="a",
                checkpoints=tuple(
                    _point(draw, f"point{number}_{place}", f"zone{number}", kind)
                    for place, kind in enumerate(kinds)
                ),
            )
        )
    unhashed = replace(small_checklist(), zones=tuple(zones), sha256="")
    return replace(unhashed, sha256=sha256_of(checklist_to_text(unhashed)))


def answers_to(checklist: Checklist) -> st.SearchStrategy[dict[str, an.Answer]]:
    """Return an answer to every point of a checklist."""
    return st.fixed_dictionaries(
        {point.id: answer_at(checklist, point) for point in checklist.checkpoints}
    )


def answer_at(checklist: Checklist, point: Checkpoint) -> st.SearchStrategy[an.Answer]:
    """Return any answer that a point takes."""
    if point.kind is CheckpointKind.START:
        return st.sampled_from([an.Yes(), an.Yes(), an.Yes(), an.No()])
    kinds: list[st.SearchStrategy[Any]] = [
        st.builds(an.CouldNotCheck, reason=st.sampled_from(an.Reason))
    ]
    if point.may_be_absent:
        kinds.append(st.just(an.NotFitted()))
    if point.kind is CheckpointKind.READING and point.reading is not None:
        values = st.decimals(
            point.reading.plausible_min,
            point.reading.plausible_max,
            places=point.reading.decimals,
        )
        return st.one_of(*kinds, st.builds(an.ReadingTaken, value=values))
    fluids = st.sampled_from(fluids_at(checklist, point))
    leak_class = st.sampled_from(an.LeakClass)
    kinds.append(st.builds(an.Leak, fluid=fluids, leak_class=leak_class))
    if point.kind is CheckpointKind.LEVEL:
        kinds.append(st.builds(an.LevelSeen, level=st.sampled_from(an.Level)))
        return st.one_of(*kinds)
    fault, severity = st.sampled_from(an.Fault), st.sampled_from(an.Severity)
    kinds.append(st.builds(an.Defect, fault=fault, severity=severity))
    return st.one_of(st.just(an.Good()), *kinds)


def _point(
    draw: Callable[..., Any], point_id: str, zone_id: str, kind: CheckpointKind
) -> Checkpoint:
    return Checkpoint(
        id=point_id,
        zone_id=zone_id,
        kind=kind,
        prompt=f"{point_id}?",
        look="Look.",
        wrong="Wrong.",
        why="Because.",
        level_of="engine_oil" if kind is CheckpointKind.LEVEL else None,
        reading=_SPEC if kind is CheckpointKind.READING else None,
        may_be_absent=draw(st.booleans()),
    )
