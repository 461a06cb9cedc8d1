"""Follow what happens on a walk: turns, mishearings, chains of events."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from voicecheck.audio.frames import Frames
from voicecheck.bench.walks_row import Misheard
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser
from voicecheck.speech.wrapped_recogniser import WrappedRecogniser

__all__ = ["NotingRecogniser", "WalkAbandoned", "WalkEvents"]

_BEFORE, _AFTER = 16, 5
"""Happenings told of a wrong entry, before and after it was recorded."""
_MOST_AT_ONE_QUESTION = 30
_MOST_TURNS_A_POINT = 5


class WalkAbandoned(Exception):
    """The operator was not understood again and again."""


class NotingRecogniser(WrappedRecogniser):
    """Remember the hypotheses of the last utterance."""

    def __init__(self, inner: Recogniser) -> None:
        super().__init__(inner)
        self.last: tuple[Hypothesis, ...] = ()

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        self.last = self._inner.recognise(utterance, active)
        return self.last


class WalkEvents:
    """All that happened on one walk.

    Args:
        recogniser: whose hypotheses are told.
        points: checkpoints of the walk; sets how many turns are borne.
    """

    def __init__(self, recogniser: NotingRecogniser, points: int) -> None:
        self._recogniser = recogniser
        self._most = _MOST_TURNS_A_POINT * points
        self._log: list[str] = []
        self._answered: dict[str, int] = {}
        self._asked = ("", "")
        self._at_one = 0
        self._said = ""
        self.counts: Counter[str] = Counter()
        self.turns: Counter[str] = Counter()
        self.misheard: list[Misheard] = []

    def said(self, phrase: str) -> None:
        """Note what the operator says now."""
        self._said = phrase
        self._log.append(f'says "{phrase}"')

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Note what the program does.

        Raises:
            WalkAbandoned: it has asked too often.
        """
        self.counts[kind] += 1
        match kind:
            case "listening":
                self._listening(data["question"], data["checkpoint"] or "")
            case "heard":
                self._heard(data)
            case "answer":
                self._answered[data["checkpoint"]] = len(self._log)
                entry = f"{data['checkpoint']} {data['value']}"
                self._log.append(f"RECORDS {entry} ({data['confirmed']})")
            case "readback":
                self._log.append(f'reads back "{data["text"]}"')
            case "withdrawn" | "skipped" | "paused" | "nomatch" | "noinput":
                self._log.append(f"{kind} {data.get('checkpoint', '')}".strip())

    def path(self, checkpoint: str) -> tuple[str, ...]:
        """Return what happened around the recording of a checkpoint."""
        at = self._answered.get(checkpoint, len(self._log))
        return tuple(self._log[max(0, at - _BEFORE) : at + _AFTER + 1])

    def _listening(self, question: str, checkpoint: str) -> None:
        self.turns[checkpoint] += 1
        self._at_one = self._at_one + 1 if (question, checkpoint) == self._asked else 1
        self._asked = (question, checkpoint)
        self._said = ""
        self._log.append(f"asks {question} of {checkpoint or 'the walk'}")
        too_often = self.counts["listening"] > self._most
        if too_often or self._at_one > _MOST_AT_ONE_QUESTION:
            raise WalkAbandoned

    def _heard(self, data: Mapping[str, Any]) -> None:
        found = ", ".join(
            f'"{h.phrase}" {h.confidence:.3f}' for h in self._recogniser.last
        )
        outcome = data["outcome"]
        self._log.append(f"hears {found or 'nothing'}: {outcome}")
        self.counts[f"{outcome} {self._asked[0]}"] += 1
        phrase = data["phrase"]
        if outcome == "reject" or phrase in (None, self._said):
            return
        self.counts[f"misheard_{outcome}"] += 1
        self.misheard.append(
            Misheard(
                question=self._asked[0],
                said=self._said,
                heard=phrase,
                confidence=data["confidence"],
                outcome=outcome,
            )
        )
