"""What a period shows, read from a store: one record at a time, little kept of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from voicecheck.clock import utc_text
from voicecheck.defects.events import RepairDone
from voicecheck.report.period.walked import SIMULATED, Walked, walked
from voicecheck.statistics.defects import DefectLife
from voicecheck.statistics.shifts import EARLY
from voicecheck.store.fleet import DefectStory, SqlFleet
from voicecheck.store.names import is_training

_REPAIRED = frozenset({"repaired", "checked"})


def load_walks(
    fleet: SqlFleet,
    unit: str | None,
    start: datetime,
    end: datetime,
    *,
    simulated: bool = False,
    looks: bool = True,
) -> list[Walked]:
    """Return the finished walks of a period, taken apart.

    Args:
        fleet: the store.
        unit: the machine; None: all but training units.
        start: of the period.
        end: of the period.
        simulated: count walks of the demo too.
        looks: keep what was seen at each point; only needed where defects are
            told from walks, and most of what there is to keep.

    Raises:
        JournalDamaged: a record is gone or was altered.
    """
    # who comes early for the first shift is of this period, not the one before
    since, until = utc_text(start - EARLY), utc_text(end - EARLY)
    known: dict[tuple[str, str], Mapping[str, str]] = {}
    found = []
    for document in fleet.documents(unit, since, until):
        if not simulated and document["walk"]["mode"] == SIMULATED:
            continue
        if unit is None and is_training(document["content"]["unit"]):
            continue
        one = walked(document, looks=looks)
        key = (
            document["content"]["checklist"]["sha256"],
            document["words"]["language"],
        )
        titles = known.setdefault(key, one.titles)
        # the same words for all walks of a checklist, kept once
        found.append(replace(one, titles=titles) if titles == one.titles else one)
    return found


def load_defects(
    fleet: SqlFleet, unit: str | None, start: datetime, end: datetime
) -> tuple[DefectLife, ...] | None:
    """Return the workshop's defects found in a period; None when it keeps none.

    Raises:
        JournalDamaged: a story was altered.
    """
    told = fleet.stories(unit, utc_text(start), utc_text(end))
    return tuple(_life(one) for one in told) or None


def _life(told: DefectStory) -> DefectLife:
    defect = told.defect
    repaired = None
    if defect.state.value in _REPAIRED:
        done = [one.at_utc for one in told.story if isinstance(one.event, RepairDone)]
        at_utc = max(done, default=defect.closed_utc)
        repaired = None if at_utc is None else datetime.fromisoformat(at_utc)
    return DefectLife(
        unit=defect.unit,
        checkpoint=defect.checkpoint_id,
        opened=datetime.fromisoformat(defect.found_utc),
        repaired=repaired,
        last_seen=datetime.fromisoformat(defect.last_utc),
    )
