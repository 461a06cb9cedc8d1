"""The zones must form one closed way round, with every climb taken back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from voicecheck.checklists.problems import Problem, error
from voicecheck.checklists.schema import ZoneEntry
from voicecheck.round.checklist import Place

_HEIGHTS = (Place.GROUND, Place.PLATFORM, Place.CAB)


def check_way(zones: Sequence[ZoneEntry]) -> tuple[Problem, ...]:
    """Return what is wrong with the order of the zones."""
    return (*_stations(zones), *_climbs(zones))


def _stations(zones: Sequence[ZoneEntry]) -> Iterator[Problem]:
    first, last = zones[0], zones[-1]
    for zone, following in pairwise(zones):
        if zone.to_station != following.from_station:
            yield error(
                f"zone {following.id}, from_station",
                f"must be {zone.to_station!r}, where zone {zone.id} ends, not "
                f"{following.from_station!r}: the way round may not jump",
            )
    if last.to_station != first.from_station:
        yield error(
            f"zone {last.id}, to_station",
            f"must be {first.from_station!r}, where the walk began, not "
            f"{last.to_station!r}: the way round must close",
        )
    yield from _passed_twice(zones)


def _passed_twice(zones: Sequence[ZoneEntry]) -> Iterator[Problem]:
    seen: set[str] = set()
    for zone in zones:
        if zone.from_station == zone.to_station:
            continue
        if zone.from_station in seen:
            yield error(
                f"zone {zone.id}, from_station",
                f"{zone.from_station!r} was passed before: lead the walk past each "
                "station once",
            )
        seen.add(zone.from_station)


def _climbs(zones: Sequence[ZoneEntry]) -> Iterator[Problem]:
    if zones[0].place is not Place.GROUND:
        yield error(f"zone {zones[0].id}, place", "the walk must begin on the ground")
    if zones[-1].place is not Place.GROUND:
        yield error(
            f"zone {zones[-1].id}, place",
            "the walk must end on the ground: match each climb up by a climb down",
        )
    used = {zone.place for zone in zones}
    heights = [place for place in _HEIGHTS if place in used]
    for zone, following in pairwise(zones):
        step = heights.index(following.place) - heights.index(zone.place)
        if abs(step) > 1:
            yield error(
                f"zone {following.id}, place",
                f"from the {zone.place} to the {following.place} goes over the "
                "platform: put a zone there in between",
            )
