"""The recogniser for practice: words that are not the walk's have their own weights.

Where places are named, and where a guided walk is led, they decide; everything else
is heard as on a walk.
"""

from __future__ import annotations

from voicecheck.audio.frames import Frames
from voicecheck.learn.sessions.ports import Listening
from voicecheck.learn.spoken.places import Knows
from voicecheck.speech.own_words import for_own_words
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser
from voicecheck.speech.wrapped_recogniser import WrappedRecogniser

__all__ = ["PracticeRecogniser", "for_practice", "knows_words"]

_OWN_WORDS = frozenset({Listening.PLACE.value, Listening.CONTROL.value})
"""Questions that a walk does not know."""


class PracticeRecogniser(WrappedRecogniser):
    """Hear the questions of practice with one recogniser, all else with another.

    Args:
        usual: for the questions of a walk.
        places: for names of zones and points, and for the words of a guided walk.
    """

    def __init__(self, usual: Recogniser, places: Recogniser) -> None:
        super().__init__(usual)
        self._places = places

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        own = active.question in _OWN_WORDS
        return (self._places if own else self._inner).recognise(utterance, active)


def for_practice(recogniser: Recogniser) -> Recogniser:
    """Return the recogniser of practice; other engines than the pair serve as is."""
    places = for_own_words(recogniser)
    if places is recogniser:
        return recogniser
    return PracticeRecogniser(recogniser, places)


def knows_words(recogniser: Recogniser) -> Knows | None:
    """Return what tells whether an engine knows a word; None: the dictionary."""
    knows: Knows | None = getattr(recogniser, "knows", None)
    return knows
