"""Which part of a walk is practised."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.errors import LearnError
from voicecheck.round.checklist import Checklist, Zone

__all__ = ["chosen_zones"]


def chosen_zones(checklist: Checklist, zones: Iterable[str] | None) -> tuple[Zone, ...]:
    """Return the zones that are practised, in walking order.

    Args:
        checklist: the walk.
        zones: ids, in any order; None: all.

    Raises:
        LearnError: there is no such zone, or none was named.
    """
    known = [zone.id for zone in checklist.zones]
    wanted = known if zones is None else list(zones)
    unknown = [zone for zone in wanted if zone not in known]
    if unknown or not wanted:
        named = f"no zone {', '.join(unknown)}" if unknown else "no zone was named"
        raise LearnError(f"{named}; there are: {', '.join(known)}")
    return tuple(zone for zone in checklist.zones if zone.id in wanted)
