"""The words that recognisers, listener and dialogue share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import Sound


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """One thing that may be said, and what it means."""

    text: str
    meaning: str
    control: bool = False
    """True for words that steer the dialogue instead of answering."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ActiveSet:
    """All that may be said at one moment."""

    question: str
    language: str
    phrases: tuple[Phrase, ...]
    numbers: bool = False
    """True when a spoken number may be said besides the phrases."""

    def phrase(self, text: str) -> Phrase | None:
        """Return the phrase of this text, or None."""
        for phrase in self.phrases:
            if phrase.text == text:
                return phrase
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypothesis:
    """One thing that may have been said."""

    phrase: str
    meaning: str
    confidence: float
    """Probability 0 … 1 that exactly this was said."""
    control: bool = False


class Recogniser(Protocol):
    """Hear one utterance.

    One that needs the whole silence after a word says so with an attribute
    `hears_early = False`; see `early_ending`. One that is reliable in more or less
    noise than usual says so with `hears_down_to_db`; see `noise_watch.loudness`. One
    whose probabilities were tried with odds that the dialogue moves says so with
    `odds_tried = True`; see `dialogue.habit` and `dialogue.objection`.
    """

    @property
    def name(self) -> str:
        """Name of the engine, as records show it."""
        ...

    @property
    def language(self) -> str: ...

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said, the likeliest first.

        Args:
            utterance: one end-pointed utterance, mono float32 at 16 kHz, with
                a little real background at both ends.
            active: what may be said now.

        Returns:
            At most one hypothesis per phrase; empty when nothing in the set
            is at all like the sound.
        """
        ...


class Synthesiser(Protocol):
    """Speak a text."""

    def speak(self, text: str, language: str) -> Sound:
        """Return the spoken text.

        Raises:
            SynthesisError: the text is empty or the engine fails.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Something was said, whatever it was."""

    hypotheses: tuple[Hypothesis, ...]
    """The likeliest first; empty: speech or noise like none of the phrases."""
    started_s: float
    """When the utterance began, by the link's clock."""
    ended_s: float
    noise_dbfs: float
    """Level of the background before the utterance."""
    snr_db: float
    """Estimated level of the utterance over the background."""
    too_long: bool = False
    """The utterance did not end in time (maxspeechtimeout)."""
    barge_in: bool = False
    """It began while the prompt was still playing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoInput:
    """Nobody said anything until the timeout."""

    waited_s: float
    noise_dbfs: float


Listened = Heard | NoInput
