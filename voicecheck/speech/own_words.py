"""Hear words that the network was not trained on.

It knows the phrases of a walk and takes all other words for other speech. Where
places are named, a guided walk is led or marks are given, its word layer has little
say: the grammar engine and the phones decide, with weights fitted on names of zones
and points (`bench/training/fit_places`).
"""

from __future__ import annotations

from voicecheck.speech.fusion import load_fusion
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import Recogniser

__all__ = ["for_own_words"]

_WEIGHTS = "fusion-places"


def for_own_words(recogniser: Recogniser) -> Recogniser:
    """Return the recogniser of such words; other engines than the pair serve as is."""
    if not isinstance(recogniser, PairedRecogniser):
        return recogniser
    return recogniser.weighing(load_fusion(_WEIGHTS))
