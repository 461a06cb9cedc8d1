"""The recogniser for practice: words that are not the walk's have their own weights.

The network was trained on the phrases of a walk and takes all other words for
other speech. So where places are named, and where a guided walk is led, its word
layer has little say: the grammar engine and the phones decide. Everything else
is heard as on a walk.
"""

from __future__ import annotations

from voicecheck.audio.frames import Frames
from voicecheck.learn.sessions.ports import Listening
from voicecheck.learn.spoken.places import Knows
from voicecheck.speech.fusion import load_fusion
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser

__all__ = ["PracticeRecogniser", "for_practice", "knows_words"]

_PLACES = "fusion-places"
"""Weights fitted on names of zones and points; see bench/training/fit_places."""


_OWN_WORDS = frozenset({Listening.PLACE.value, Listening.CONTROL.value})
"""Questions that a walk does not know."""


class PracticeRecogniser:
    """Hear the questions of practice with one recogniser, all else with another.

    Args:
        usual: for the questions of a walk.
        places: for names of zones and points, and for the words of a guided walk.
    """

    def __init__(self, usual: Recogniser, places: Recogniser) -> None:
        self._usual = usual
        self._places = places

    @property
    def name(self) -> str:
        """Name of the usual engine."""
        return self._usual.name

    @property
    def language(self) -> str:
        """Language of both."""
        return self._usual.language

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        own = active.question in _OWN_WORDS
        return (self._places if own else self._usual).recognise(utterance, active)


def for_practice(recogniser: Recogniser) -> Recogniser:
    """Return the recogniser of practice; other engines than the pair serve as is."""
    if not isinstance(recogniser, PairedRecogniser):
        return recogniser
    places = recogniser.weighing(load_fusion(_PLACES))
    return PracticeRecogniser(recogniser, places)


def knows_words(recogniser: Recogniser) -> Knows | None:
    """Return what tells whether an engine knows a word; None: the dictionary."""
    knows: Knows | None = getattr(recogniser, "knows", None)
    return knows
