"""An answer in the making at a keyboard: its parts and how they came in."""

from __future__ import annotations

from dataclasses import dataclass, field

from voicecheck.dialogue.draft import is_too_fast
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.events import How
from voicecheck.round.probing import QuestionName


@dataclass(slots=True, kw_only=True)
class TypedDraft:
    """What is known of one checkpoint before its answer is complete."""

    checkpoint_id: str | None = None
    shown_s: float = 0.0
    """When the point was first shown."""
    parts: dict[QuestionName, str] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)
    tries: int = 0
    answered_s: float | None = None
    """When the first part was typed."""

    def restart(self) -> None:
        """Forget the parts; the point stays the same."""
        self.parts.clear()
        self.words.clear()
        self.answered_s = None

    def add(self, question: QuestionName, meaning: str, text: str, at_s: float) -> None:
        """Take in one part."""
        self.parts[question] = meaning
        self.words.append(text)
        if self.answered_s is None:
            self.answered_s = at_s

    def how(self, point: Checkpoint, answer: Answer, mode: str) -> How:
        """Return how the finished answer came in; `mode` is typed or browser."""
        after_s = None
        if self.answered_s is not None:
            after_s = round(self.answered_s - self.shown_s, 3)
        return How(
            mode=mode,
            confirmed_by="typed",
            words=tuple(self.words),
            tries=max(1, self.tries),
            after_prompt_s=after_s,
            too_fast=is_too_fast(point, answer, after_s),
        )
