"""What to say next, and what becomes of each try. Pure: no sound, no files."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from voicecheck.speech.enrolment.checks import Fault
from voicecheck.speech.enrolment.profile import Example, Source, by_phrase

__all__ = ["EnrolmentSession", "Progress"]

EXAMPLES = 3
"""Good examples of each word."""
MOST_TRIES = 3
"""Bad tries at one example before the word is left for now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a session is."""

    good: int
    wanted: int
    skipped: tuple[str, ...]
    """Words that were left after too many bad tries."""


class EnrolmentSession:
    """One operator saying words, each three times.

    Args:
        words: in the order in which they are said.
        known: good examples from before; they count.
        wanted: examples of each word.
    """

    def __init__(
        self,
        words: Sequence[str],
        known: Iterable[Example] = (),
        wanted: int = EXAMPLES,
    ) -> None:
        self._words = tuple(dict.fromkeys(words))
        self._wanted = wanted
        self._examples = [e for e in known if e.source is Source.ENROLLED]
        self._failed: dict[str, int] = {}
        self._skipped: dict[str, Fault] = {}

    @property
    def words(self) -> tuple[str, ...]:
        """All words of the session."""
        return self._words

    @property
    def examples(self) -> tuple[Example, ...]:
        """All good examples, those from before included."""
        return tuple(self._examples)

    @property
    def skipped(self) -> dict[str, Fault]:
        """Words that were left, and why."""
        return dict(self._skipped)

    def count(self, word: str) -> int:
        """Return how many good examples of a word there are."""
        return sum(e.phrase == word for e in self._examples)

    def next(self) -> str | None:
        """Return the word to be said now; None when nothing is left."""
        for word in self._words:
            if word not in self._skipped and self.count(word) < self._wanted:
                return word
        return None

    def accept(self, example: Example) -> None:
        """Take a good example in."""
        self._examples.append(example)
        self._failed.pop(example.phrase, None)

    def refuse(self, word: str, fault: Fault) -> bool:
        """Count a bad try; return True when the word is now left."""
        self._failed[word] = self._failed.get(word, 0) + 1
        if fault is Fault.UNLIKE and self._failed[word] == MOST_TRIES - 1:
            # perhaps the first example was the bad one
            self._drop(word)
        if self._failed[word] < MOST_TRIES:
            return False
        self._skipped[word] = fault
        return True

    def skip(self, word: str, fault: Fault = Fault.NOTHING) -> None:
        """Leave a word because the operator asked to."""
        self._skipped[word] = fault

    def progress(self) -> Progress:
        """Return how far the session is."""
        groups = by_phrase(self._examples)
        good = sum(min(self._wanted, len(groups.get(w, ()))) for w in self._words)
        return Progress(
            good=good,
            wanted=self._wanted * len(self._words),
            skipped=tuple(self._skipped),
        )

    def _drop(self, word: str) -> None:
        if self.count(word) == 1:
            self._examples = [e for e in self._examples if e.phrase != word]
