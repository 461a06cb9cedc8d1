"""What the commands of `voicecheck observe` need from stores and files."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from voicecheck.errors import ObserveError

if TYPE_CHECKING:
    from voicecheck.observe.events import Begun
    from voicecheck.observe.keeping import Observations
    from voicecheck.observe.observation import Observation
    from voicecheck.observe.scenario import ReferenceTimes
    from voicecheck.round.checklist import Checklist

NONE = "none"


@contextmanager
def open_observations() -> Iterator[Observations]:
    """Open the observations of this computer."""
    from voicecheck.observe.keeping import Observations  # noqa: PLC0415
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        yield Observations(store)


def checklist_of(
    seen: Observation,
    lang: str | None = None,
    name: str | None = None,
    site_rules: Any = None,
) -> Checklist:
    """Return the checklist of an observation.

    Args:
        seen: the observation.
        lang: of the words; None: as it was begun.
        name: a file, when the checklist is not one that comes with voicecheck.
        site_rules: as at the beginning.

    Raises:
        ObserveError: it is another version by now.
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.observe.keeping import started  # noqa: PLC0415

    begun = started(seen)
    found = load(name or begun.checklist, lang or begun.language, site_rules)
    if found.sha256 != begun.checklist_sha256:
        raise ObserveError(
            f"this observation is on {begun.checklist} {begun.checklist_version} "
            f"({begun.checklist_sha256[:12]}), not {found.version} "
            f"({found.sha256[:12]}); give --checklist FILE and --site-rules FILE of "
            "that version"
        )
    return found


def record_of(begun: Begun, walk: str | None) -> dict[str, Any] | None:
    """Return the trainee's record of the walk; None: the marks alone tell.

    Args:
        begun: the beginning of the observation.
        walk: id of a record; "none"; None: the one that the trainee made on this
            unit since then, if there is one.

    Raises:
        ObserveError: there are several; name one.
    """
    if walk == NONE:
        return None
    if walk is not None:
        return _record(walk)
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    since = datetime.fromisoformat(begun.at_utc) - timedelta(minutes=1)
    with open_fleet() as fleet:
        found = [
            row.walk_id
            for row in fleet.walks(unit=begun.unit)
            if row.operator == begun.trainee
            and row.record is not None
            and row.checklist_sha256 == begun.checklist_sha256
            and datetime.fromisoformat(row.started_utc) >= since
        ]
    if len(found) > 1:
        ids = ", ".join(one[:8] for one in found)
        raise ObserveError(
            f"{begun.trainee} made several records since: {ids}; "
            "choose with --walk, or say --walk none"
        )
    return _record(found[0]) if found else None


def reference_times(walk: str, name: str) -> ReferenceTimes:
    """Return the times by zone of a recorded walk.

    Raises:
        ObserveError: it is of another checklist.
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.observe.own_walk import copied, own_walk  # noqa: PLC0415
    from voicecheck.observe.scenario import ReferenceTimes  # noqa: PLC0415
    from voicecheck.observe.times import times_of  # noqa: PLC0415
    from voicecheck.observe.walked import Visit  # noqa: PLC0415

    own = own_walk(copied(_record(walk)))
    zones = {point.id: point.zone_id for point in load(name).checkpoints}
    visits = tuple(
        Visit(checkpoint=a.checkpoint, zone=zones[a.checkpoint], at_utc=a.at_utc)
        for a in own.answers
        if a.checkpoint in zones
    )
    times = {
        zone: round(seconds, 1)
        for zone, seconds in times_of(visits, own.ended_utc).items()
        if seconds > 0
    }
    if not times:
        raise ObserveError(f"the walk {walk} has no times on the checklist {name}")
    day = own.started_utc[:10]
    return ReferenceTimes(source=f"{'walk ' + own.walk_id[:8]}, {day}", zones=times)


def _record(walk: str) -> dict[str, Any]:
    from voicecheck.cli.records import read_checked  # noqa: PLC0415

    document: dict[str, Any] = json.loads(read_checked(walk))
    return document
