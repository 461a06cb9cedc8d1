"""Recognise while the end-pointing still waits, and end early what is complete.

    silence    what happens
    96 ms      what was said so far is recognised; if more comes, thrown away.
               Not where a number may be said: numbers never end early
    192 ms     a whole, sure phrase ends here; anything else is recognised once
               more, now with all the background that is kept behind it
    352 ms     the rest ends, with what was recognised meanwhile

Where levels tell nothing of where a word ends, voice activity lets go of it later, and
the last two are 128 and 256 ms.

Where others talk without a pause no such silence comes. An utterance that is
already longer than answers are ends when its loud part, the operator's, is over.

So the operator waits for the silence, hardly for the computer. The sound is
denoised while it comes in. File and microphone go the same way, since all that
counts is how many blocks were silent, never how fast the computer is.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.audio.activity import BLOCK_S, Endpointer, Utterance
from voicecheck.audio.frames import Frames
from voicecheck.audio.suppression import RunningSuppressor
from voicecheck.speech.focus import loud_part_is_over
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser

__all__ = ["EarlyEnding", "EarlySettings", "Recognised", "is_complete"]


_LOOKED_AT_EVERY = 4
"""Blocks between two looks at the levels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlySettings:
    """When what was said so far is recognised, and when it may end.

    Chosen on spoken phrases with pauses inside; the figures are in DEVELOPERS.md.
    """

    look_s: float = 0.096
    """Silence after which the first look is taken."""
    end_s: float = 0.192
    """Silence that ends a whole, sure phrase."""
    end_in_noise_s: float = 0.128
    """The same where levels tell nothing of where a word ends: the voice activity
    lets go of it later there."""
    sure: float = 0.9
    """Confidence of a phrase that may end early."""
    long_s: float = 2.5
    """An utterance without an end that is longer holds other talk; our phrases
    with the sound around take 2.2 s at most."""
    long_number_s: float = 5.0
    """The same where a number may be said."""


@dataclass(frozen=True, slots=True, eq=False)
class Recognised:
    """An utterance that has ended, and what it may have been."""

    utterance: Utterance
    hypotheses: tuple[Hypothesis, ...]


class EarlyEnding:
    """Hear utterances out of a stream of blocks.

    Args:
        recogniser: hears each look.
        endpointer: finds speech; the caller resets it.
        settings: None: the standard ones.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        endpointer: Endpointer,
        settings: EarlySettings | None = None,
    ) -> None:
        self._recogniser = recogniser
        self._endpointer = endpointer
        self._settings = settings or EarlySettings()
        self._suppressor = RunningSuppressor()
        self._running = False
        self._seen: Recognised | None = None
        self.looks = 0
        """How often the recogniser was asked."""

    def accept(self, block: Frames, active: ActiveSet) -> Recognised | None:
        """Take in one block; return the utterance that ended with it, if any.

        Args:
            block: the next of the microphone, as `Endpointer.accept` takes it.
            active: what may be said.
        """
        ended = self._endpointer.accept(block)
        if ended is not None:
            return self._at_the_end(block, ended, active)
        if not self._endpointer.speaking:
            self._forget()
            return None
        self._follow(block)
        if not getattr(self._recogniser, "hears_early", True):
            return None
        silent = self._endpointer.silent_blocks
        if silent == 0:
            self._seen = None
        elif silent == _blocks(self._settings.look_s) and not active.numbers:
            self._look(active)
        elif silent == _blocks(self._end_s()):
            return self._end_if_complete(active)
        return self._end_among_talkers(active)

    def _end_s(self) -> float:
        """Return the silence that ends a whole, sure phrase."""
        clear = self._endpointer.stands_out
        return self._settings.end_s if clear else self._settings.end_in_noise_s

    def _end_among_talkers(self, active: ActiveSet) -> Recognised | None:
        """End what the loud part has left; looked at now and then."""
        longest_s = (
            self._settings.long_number_s if active.numbers else self._settings.long_s
        )
        blocks = self._endpointer.blocks_so_far
        if blocks < _blocks(longest_s) or blocks % _LOOKED_AT_EVERY:
            return None
        if not loud_part_is_over(self._endpointer.begun()):
            return None
        ended = self._endpointer.end_now()
        self._forget()
        if ended is None:
            return None
        return Recognised(ended, self.recognise(ended, active))

    def recognise(
        self, utterance: Utterance, active: ActiveSet
    ) -> tuple[Hypothesis, ...]:
        """Recognise one utterance; one that is too long is none."""
        if utterance.too_long:
            return ()
        self.looks += 1
        self._suppressor.denoised(utterance.frames)
        return self._recogniser.recognise(utterance.frames, active)

    def _follow(self, block: Frames) -> None:
        """Denoise what came in."""
        if self._running:
            self._suppressor.push(block)
            return
        self._suppressor.begin()
        self._suppressor.push(self._endpointer.begun())
        self._running = True

    def _look(self, active: ActiveSet) -> Recognised | None:
        utterance = self._endpointer.so_far()
        if utterance is not None:
            found = self.recognise(utterance, active)
            self._seen = Recognised(utterance, found)
        return self._seen

    def _end_if_complete(self, active: ActiveSet) -> Recognised | None:
        seen = self._seen
        if seen is None or not self._is_complete(seen, active):
            seen = self._look(active)
        if seen is None or not self._is_complete(seen, active):
            return None
        ended = self._endpointer.end_now()
        self._forget()
        return None if ended is None else Recognised(ended, seen.hypotheses)

    def _at_the_end(
        self, block: Frames, ended: Utterance, active: ActiveSet
    ) -> Recognised:
        """Return what was recognised meanwhile, if it is of the same sound."""
        if self._running:  # it may be resumed
            self._suppressor.push(block)
        seen = self._seen
        same = (
            seen is not None
            and not ended.too_long
            and len(seen.utterance.frames) == len(ended.frames)
        )
        found = seen.hypotheses if seen and same else self.recognise(ended, active)
        self._seen = Recognised(ended, found)
        return self._seen

    def _is_complete(self, seen: Recognised, active: ActiveSet) -> bool:
        return is_complete(seen.hypotheses, active, self._settings.sure)

    def _forget(self) -> None:
        self._seen = None
        self._running = False


def is_complete(
    hypotheses: tuple[Hypothesis, ...], active: ActiveSet, sure: float
) -> bool:
    """Tell whether this is all that will be said: a whole phrase, heard surely.

    No number is: another digit may come. Nor is the beginning of a longer
    phrase, such as "no" where "not fitted" may be said.
    """
    best = hypotheses[0] if hypotheses else None
    if best is None or best.confidence < sure or active.phrase(best.phrase) is None:
        return False
    return not any(
        phrase.text != best.phrase and phrase.text.startswith(best.phrase)
        for phrase in active.phrases
    )


def _blocks(seconds: float) -> int:
    return round(seconds / BLOCK_S)
