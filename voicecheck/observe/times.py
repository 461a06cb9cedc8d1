"""How long each zone took, beside how long it takes somebody who knows the walk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import groupby

from voicecheck.observe.scenario import Scenario
from voicecheck.observe.walked import Visit, Walked
from voicecheck.round.checklist import Checklist

SECONDS_A_POINT = 4.0
"""For being asked, answering and stepping on, beside the least time of looking;
our estimate, no source."""


class ReferenceKind(StrEnum):
    """What times are compared with."""

    WALK = "walk"
    """A walk of somebody who knows it, named in the scenario."""
    ESTIMATE = "estimate"
    """Worked out from the checklist."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTime:
    """One zone."""

    zone: str
    seconds: float | None
    """None: nothing was seen there."""
    reference_s: float | None
    """None: the reference does not say."""

    @property
    def share(self) -> float | None:
        """Time taken over time of the reference."""
        if self.seconds is None or not self.reference_s:
            return None
        return self.seconds / self.reference_s


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTimes:
    """All zones on the way, in walking order."""

    kind: ReferenceKind
    source: str
    """Whose walk the reference was; empty for an estimate."""
    zones: tuple[ZoneTime, ...]


def zone_times(walked: Walked, checklist: Checklist, scenario: Scenario) -> ZoneTimes:
    """Return the time of each zone.

    A zone lasts from its first point to the first point of the next zone; the way
    there belongs to it. Zones that are entered twice add up.
    """
    seconds = _seconds(walked)
    reference = scenario.reference
    wanted: Mapping[str, float] = (
        reference.zones if reference else estimate(checklist, scenario)
    )
    on_the_way = dict.fromkeys(point.zone for point in walked.points)
    return ZoneTimes(
        kind=ReferenceKind.WALK if reference else ReferenceKind.ESTIMATE,
        source=reference.source if reference else "",
        zones=tuple(
            ZoneTime(zone=z, seconds=seconds.get(z), reference_s=wanted.get(z))
            for z in on_the_way
        ),
    )


def estimate(checklist: Checklist, scenario: Scenario) -> dict[str, float]:
    """Return an estimate for each zone in seconds, from the checklist alone."""
    return {
        zone.id: sum(
            point.min_look_s + SECONDS_A_POINT
            for point in zone.checkpoints
            if point.id not in scenario.left_out
        )
        for zone in checklist.zones
    }


def times_of(visits: tuple[Visit, ...], ended_utc: str | None) -> dict[str, float]:
    """Return seconds by zone of visits in order of time."""
    found: dict[str, float] = {}
    stays = [(zone, next(stay).at_utc) for zone, stay in groupby(visits, _zone)]
    ends = [at_utc for _, at_utc in stays[1:]]
    ends.append(ended_utc or (visits[-1].at_utc if visits else ""))
    for (zone, begin), end in zip(stays, ends, strict=False):
        lasted = datetime.fromisoformat(end) - datetime.fromisoformat(begin)
        found[zone] = found.get(zone, 0.0) + max(0.0, lasted.total_seconds())
    return found


def _seconds(walked: Walked) -> dict[str, float]:
    visits = sorted(walked.visits, key=lambda visit: visit.at_utc)
    return times_of(tuple(visits), walked.ended_utc)


def _zone(visit: Visit) -> str:
    return visit.zone
