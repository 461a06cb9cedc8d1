"""The operator of simulated walks: how people react to what they hear back.

Model. An explicit read-back is answered right always: a careful operator. A
wrong answer that is only said back is noticed by most and taken back with "go
back", again and again until all that they noticed is gone. About 15 % of
people never object to a wrong implicit read-back (published for spoken
dialogue; the share as the project's brief gives it); whether an operator is
one of them is drawn for each walk. The same holds for a "no" that was taken
for "yes". Looking at the machine is cut short: its sound is noise alone.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from voicecheck.demo.operator import SayAloud, SimulatedOperator
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checklist

__all__ = ["NEVER_OBJECT", "WalkOperator"]

NEVER_OBJECT = 0.15
"""Share of operators who never object to a wrong answer that is said back."""
_LOOK_S = (0.4, 1.6)
_AGAIN_S = (0.35, 0.8)


class WalkOperator(SimulatedOperator):
    """Answers one walk of the benchmark.

    Args:
        checklist: the walk.
        meant: what there is to see.
        say: speaks.
        rng: for the time to look.
        objects: whether a wrong answer that is said back is taken back.
    """

    def __init__(
        self,
        checklist: Checklist,
        meant: Mapping[str, Answer],
        say: SayAloud,
        rng: random.Random,
        *,
        objects: bool,
    ) -> None:
        super().__init__(checklist, meant, say, "en", rng)
        self._objects = objects
        self._noticed: set[str] = set()

    @property
    def given_up(self) -> Mapping[str, Answer]:
        """What was answered in the end where a number was not understood."""
        return self._given_up

    def wanted(self, checkpoint: str) -> Answer:
        """What the operator means to have recorded by now."""
        return self._wanted(checkpoint)

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in what the program does; answer when it listens."""
        if kind == "answer":
            self._said_back(data["checkpoint"], data["value"])
        elif kind == "withdrawn":
            self._noticed.discard(data["checkpoint"])
        else:
            super().watch(kind, data)
        self._wrong = bool(self._noticed)

    def _yes_or_no(self) -> str:
        if self._readback is None and self._noticed:
            return self._take_back()  # not before it is put right
        return super()._yes_or_no()

    def _said_back(self, checkpoint: str, value: Mapping[str, Any]) -> None:
        self._noticed.discard(checkpoint)
        if self._objects and not self._is_meant(checkpoint, value):
            self._noticed.add(checkpoint)

    def _look_s(self, question: str, checkpoint: str) -> float:
        first = question in {"condition", "level", "number", "start_check"}
        return self._rng.uniform(*(_LOOK_S if first and self._tries == 1 else _AGAIN_S))
