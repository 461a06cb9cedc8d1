"""Ids must be unique, and each checkpoint must fit its kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from voicecheck.checklists.problems import Problem, error, warning
from voicecheck.checklists.schema import ChecklistFile, CheckpointEntry, ReadingEntry
from voicecheck.checklists.tags import MANDATORY, Tag
from voicecheck.round.checklist import CheckpointKind


def check_points(file: ChecklistFile) -> tuple[Problem, ...]:
    """Return what is wrong with ids, fluids and checkpoints."""
    fluids = {fluid.id for fluid in file.fluids}
    points = [point for zone in file.zones for point in zone.checkpoints]
    return (
        *_doubles("fluid", [fluid.id for fluid in file.fluids]),
        *_doubles("zone", [zone.id for zone in file.zones]),
        *_doubles("checkpoint", [point.id for point in points]),
        *_same_prompts(points),
        *(problem for point in points for problem in _point(point, fluids)),
        *_start_first(points),
    )


def _doubles(what: str, ids: list[str]) -> Iterator[Problem]:
    for key, count in Counter(ids).items():
        if count > 1:
            yield error(f"{what} {key}", f"the id is used {count} times; give new ids")


def _same_prompts(points: list[CheckpointEntry]) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for point in points:
        key = point.prompt.casefold()
        if key in seen:
            yield error(
                f"checkpoint {point.id}, prompt",
                f"{seen[key]} asks the same words; make them different",
            )
        seen[key] = point.id


def _point(point: CheckpointEntry, fluids: set[str]) -> Iterator[Problem]:
    place = f"checkpoint {point.id}"
    for fluid in (*point.fluids, *([point.level_of] if point.level_of else [])):
        if fluid not in fluids:
            yield error(place, f"there is no fluid {fluid!r}; name one of the fluids")
    yield from _fits_kind(point, place)
    if point.reading is not None:
        yield from _limits(point.reading, f"{place}, reading")
    must_be_there = set(point.tags) & set(MANDATORY)
    if point.may_be_absent and must_be_there:
        tags = ", ".join(sorted(must_be_there))
        yield error(
            f"{place}, may_be_absent",
            f"must be false, because {tags} must be fitted: absent is a defect",
        )


def _fits_kind(point: CheckpointEntry, place: str) -> Iterator[Problem]:
    needs = (
        (CheckpointKind.LEVEL, "level_of", point.level_of is not None),
        (CheckpointKind.READING, "reading", point.reading is not None),
        (CheckpointKind.START, "stop_text", bool(point.stop_text)),
        (CheckpointKind.START, 'tags with "start"', Tag.START in point.tags),
    )
    for kind, key, given in needs:
        if point.kind is kind and not given:
            yield error(place, f"a {kind} checkpoint needs {key}; add it")
        if point.kind is not kind and given:
            yield error(place, f"{key} belongs to a {kind} checkpoint; take it out")
    if point.kind is CheckpointKind.START and point.may_be_absent:
        yield error(place, "a start check is yes or no; take may_be_absent out")


def _limits(reading: ReadingEntry, place: str) -> Iterator[Problem]:
    given = [
        (name, value)
        for name in (
            "plausible_min",
            "far_low",
            "low",
            "high",
            "far_high",
            "plausible_max",
        )
        if (value := getattr(reading, name)) is not None
    ]
    for (name, value), (next_name, next_value) in pairwise(given):
        if value >= next_value:
            yield error(
                place,
                f"{name} ({value}) must be below {next_name} ({next_value})",
            )
    has_limits = len(given) > 2
    if has_limits and not reading.limits_source:
        yield warning(place, "say in limits_source where the limits come from")


def _start_first(points: list[CheckpointEntry]) -> Iterator[Problem]:
    later = False
    for point in points:
        is_start = point.kind is CheckpointKind.START
        if is_start and later:
            yield error(
                f"checkpoint {point.id}",
                "start checks come before all others; move it to the front",
            )
        later = later or not is_start
    if points and points[0].kind is not CheckpointKind.START:
        yield warning(
            f"checkpoint {points[0].id}",
            "no start check comes first; ask whether it is safe before it begins",
        )
