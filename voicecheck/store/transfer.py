"""Bring everything of one store to another, as often and as far as one likes.

The far end is asked what it has, and gets what it lacks in batches. A batch is
one transaction there and leaves it whole: checklists, units, events of defects,
entries of walks so far, records. What is there already is not written again, so
a transfer that was cut goes on where it was, and doing it twice changes nothing.
The chain of a walk is verified here before it goes out, and by the far end
before anything of it is kept.

Defects go before the walks that found them: after a cut in between, the far end
knows of a defect too early, never of a walk without its defects.

Two devices that wrote about one unit without each other both keep all that
they wrote. A walk whose far copy went another way is left alone and reported.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Table, select

from voicecheck.errors import JournalDamaged, LinkLost, SyncError
from voicecheck.store import packing
from voicecheck.store.database import Database
from voicecheck.store.far_end import (
    Asked,
    ChecklistParcel,
    FarEnd,
    Fate,
    Have,
    Parcel,
    Receipt,
    UnitParcel,
)
from voicecheck.store.tables import checklists, defects, units, walks

ASK_MOST = 200
"""Walks or defects that the far end is asked for at once."""
BATCH_CHARACTERS = 1_000_000
"""Of one batch, roughly: eight walks of ninety points, 60 kB packed. Small enough for a
poor link to carry before it breaks, large enough not to wait for each walk."""
BATCH_MOST = 200
"""Parcels of one batch."""

Progress = Callable[[int, int], None]


@dataclass(slots=True, kw_only=True)
class Transfer:
    """What a transfer has done."""

    walks: int = 0
    """Walks that were new, or longer, or got their record."""
    entries: int = 0
    records: int = 0
    defects: int = 0
    """Defects of which an event was new."""
    unchanged: int = 0
    """Walks and defects that were there already."""
    problems: tuple[str, ...] = ()
    """A sentence for each walk or defect that could not be brought over."""
    cut: str = ""
    """Why it ended early; another push goes on from there."""

    @property
    def ok(self) -> bool:
        """Tell whether everything is at the far end."""
        return not self.problems and not self.cut


def transfer(
    near: Database,
    far: FarEnd,
    *,
    folder: Path | None = None,
    verify: bool = False,
    batch_characters: int = BATCH_CHARACTERS,
    progress: Progress = lambda done, total: None,
) -> Transfer:
    """Bring every walk, record and defect of one store to another.

    Args:
        near: where they are taken from; it is not changed.
        far: where they go.
        folder: home folder, for records whose text is in a file only.
        verify: let the far end follow the chains of what it has already, too.
        batch_characters: roughly how much goes over at once.
        progress: told how many walks and defects are done, of how many.

    Raises:
        JournalError: a store cannot be read or written; what was brought over
            until then is whole, and another try goes on from there.
        LinkError: the far end takes nothing from here.
    """
    with near.reading() as connection:
        ids = [
            tuple(connection.execute(select(key).order_by(key)).scalars())
            for key in (defects.c.defect_id, walks.c.walk_id)
        ]
    push = _Push(near, far, folder, batch_characters, progress, sum(map(len, ids)))
    try:
        push.small()
        for some in _some(ids[0]):
            push.defects(some, far.have(Asked(defects=some, verify=verify)))
        for some in _some(ids[1]):
            push.walks(some, far.have(Asked(walks=some, verify=verify)))
    except LinkLost as error:
        push.result.cut = str(error)
    return push.result


def _some(ids: Sequence[str]) -> Iterator[tuple[str, ...]]:
    for first in range(0, len(ids), ASK_MOST):
        yield tuple(ids[first : first + ASK_MOST])


class _Push:
    """One transfer while it goes on."""

    def __init__(
        self,
        near: Database,
        far: FarEnd,
        folder: Path | None,
        batch_characters: int,
        progress: Progress,
        total: int,
    ) -> None:
        self.result = Transfer()
        self._near = near
        self._far = far
        self._folder = folder
        self._most = batch_characters
        self._progress = progress
        self._total = total
        self._done = 0
        self._fates: dict[str, set[Fate]] = {}

    def small(self) -> None:
        """Bring checklists by their hash, and units that the far end lacks."""
        texts = {str(row["sha256"]): str(row["text"]) for row in self._rows(checklists)}
        listed = {str(row["unit"]): row for row in self._rows(units)}
        for some in _some(sorted(texts)):
            have = self._far.have(Asked(checklists=some))
            missing = [one for one in some if one not in have.checklists]
            self._batches(
                (f"checklist {one[:12]}", ChecklistParcel(text=texts[one]))
                for one in missing
            )
        for some in _some(sorted(listed)):
            have = self._far.have(Asked(units=some))
            missing = [one for one in some if one not in have.units]
            self._batches((f"unit {one}", UnitParcel(**listed[one])) for one in missing)

    def defects(self, ids: Sequence[str], have: Have) -> None:
        """Bring what the far end lacks of these defects."""
        self._batches(self._each("defect", ids, have, packing.defect_parcels))
        self._count("defect", ids)

    def walks(self, ids: Sequence[str], have: Have) -> None:
        """Bring what the far end lacks of these walks."""
        self._batches(self._each("walk", ids, have, self._walk_parcels))
        self._count("walk", ids)

    def _walk_parcels(self, near: Database, walk_id: str, have: Have) -> list[Parcel]:
        return packing.walk_parcels(near, walk_id, have, self._folder, self._most)

    def _each(
        self,
        kind: str,
        ids: Sequence[str],
        have: Have,
        packed: Callable[[Database, str, Have], list[Parcel]],
    ) -> Iterator[tuple[str, Parcel]]:
        for one in ids:
            name = f"{kind} {one}"
            self._fates[name] = set()
            try:
                if one in have.damaged:
                    raise SyncError(f"at the far end: {have.damaged[one]}")
                for parcel in packed(self._near, one, have):
                    yield name, parcel
            except (SyncError, JournalDamaged) as error:
                self._refused(name, str(error))
            self._done += 1

    def _batches(self, parcels: Iterable[tuple[str, Parcel]]) -> None:
        """Give the far end parcels, some at a time."""
        names: list[str] = []
        batch: list[Parcel] = []
        size = 0
        for name, parcel in parcels:
            weight = packing.characters(parcel)
            if batch and (size + weight > self._most or len(batch) >= BATCH_MOST):
                self._give(names, batch)
                names, batch, size = [], [], 0
            names.append(name)
            batch.append(parcel)
            size += weight
        if batch:
            self._give(names, batch)
        if self._total:
            self._progress(self._done, self._total)

    def _give(self, names: Sequence[str], batch: Sequence[Parcel]) -> None:
        for name, receipt in zip(names, self._far.take(batch), strict=True):
            self._note(name, receipt)
        self._progress(self._done, self._total)

    def _note(self, name: str, receipt: Receipt) -> None:
        if receipt.fate is Fate.REFUSED:
            self._refused(name, receipt.why)
        self._fates.setdefault(name, set()).add(receipt.fate)
        self.result.entries += receipt.entries
        self.result.records += receipt.records

    def _refused(self, name: str, why: str) -> None:
        fates = self._fates.setdefault(name, set())
        if Fate.REFUSED not in fates:  # one sentence, however many parcels it has
            self.result.problems += (f"{name}: {why}",)
        fates.add(Fate.REFUSED)

    def _count(self, kind: str, ids: Sequence[str]) -> None:
        for one in ids:
            fates = self._fates.pop(f"{kind} {one}")
            if Fate.KEPT in fates and kind == "walk":
                self.result.walks += 1
            elif Fate.KEPT in fates:
                self.result.defects += 1
            elif Fate.REFUSED not in fates:
                self.result.unchanged += 1

    def _rows(self, table: Table) -> list[dict[str, Any]]:
        with self._near.reading() as connection:
            found = connection.execute(select(table))
            return [dict(row._mapping) for row in found]


__all__ = ["Transfer", "transfer"]
