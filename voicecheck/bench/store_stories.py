"""What becomes of invented findings: joined, repaired, checked, or left open."""

from __future__ import annotations

import random
import uuid
from collections import deque
from collections.abc import Iterator, Sequence

from voicecheck.defects.events import (
    DefectEvent,
    RepairChecked,
    RepairDone,
    UnitReleased,
)
from voicecheck.defects.hold import holding
from voicecheck.defects.steps import written
from voicecheck.defects.story import Happening, fold
from voicecheck.store.findings import Found

Story = list[Happening]
_Key = tuple[str, str]

REPAIRED_AFTER = 6
"""Walks of the same machine later: three days."""
LEFT_OPEN = 1 / 50
"""Of all defects, for ever: an invented share."""


class Stories:
    """The defects of an invented fleet, as it is walked."""

    def __init__(self) -> None:
        self._open: dict[_Key, Story] = {}
        self._due: deque[tuple[int, _Key]] = deque()

    def walked(
        self,
        unit: str,
        turn: int,
        found: Sequence[Found],
        *,
        at_utc: str,
        by: str,
        chance: random.Random,
    ) -> None:
        """Take in what a walk has found.

        Args:
            unit: the machine.
            turn: how many walks it had before.
            found: by this walk.
            at_utc: when.
            by: who walked.
            chance: of this walk alone.
        """
        for one in found:
            key = (unit, one.checkpoint_id)
            story = self._open.get(key)
            if story is not None:
                _go_on(story, one.again(), at_utc=at_utc, by=by)
                continue
            defect_id = str(uuid.UUID(int=chance.getrandbits(128), version=4))
            opening = one.opening(unit)
            self._open[key] = [written(defect_id, opening, at_utc=at_utc, by=by)]
            if chance.random() >= LEFT_OPEN:
                self._due.append((turn + REPAIRED_AFTER, key))

    def repaired(self, turn: int, at_utc: str) -> Iterator[Story]:
        """Yield the whole stories of what is repaired by now."""
        while self._due and self._due[0][0] <= turn:
            story = self._open.pop(self._due.popleft()[1])
            steps: list[DefectEvent] = [
                RepairDone(done="invented repair", hours_h=1.5),
                RepairChecked(good=True),
            ]
            if holding([fold(story)]):
                steps.append(UnitReleased())
            for step in steps:
                _go_on(story, step, at_utc=at_utc, by="C.Poe")
            yield story

    def left(self) -> Iterator[Story]:
        """Yield the stories that have no end."""
        yield from self._open.values()


def _go_on(story: Story, event: DefectEvent, *, at_utc: str, by: str) -> None:
    last = story[-1]
    story.append(written(last.defect_id, event, at_utc=at_utc, by=by, known=(last,)))
