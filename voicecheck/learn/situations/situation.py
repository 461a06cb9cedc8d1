"""One described situation, with the call that the rules expect."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.learn.events import CallParts
from voicecheck.round.answers import Answer
from voicecheck.round.decision import Decision


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What somebody sees at one checkpoint of one checklist."""

    id: str
    kind: str
    """What it has in common with others: the subject of a card."""
    checkpoint_id: str
    text: str
    """What is seen, without the prompt."""
    answers: tuple[tuple[str, Answer], ...]
    """The answer at this checkpoint, then what is known of a level elsewhere."""
    expected: CallParts
    decision: Decision
    """Of a walk on which everything else is good."""
    why: str = ""
    """Why it is as bad as it is."""
    caution: str = ""
    """How the fluid or the stored energy can hurt; empty when nothing is wrong."""

    @property
    def answer(self) -> Answer:
        """The answer at the checkpoint itself."""
        return self.answers[0][1]

    @property
    def signal(self) -> bool:
        """Tell whether something is wrong."""
        return not self.expected.opened.all_well
