"""The recogniser for marks: their words are strange to the network's word layer.

It was trained on the phrases of a walk and takes all others for other speech, so
the grammar engine and the phones decide, with the weights that were fitted on names
of zones and points (`bench/training/fit_places`). What they give on the words of
the marks stands in `voicecheck bench marks`.
"""

from __future__ import annotations

from voicecheck.speech.fusion import load_fusion
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import Recogniser

_WEIGHTS = "fusion-places"


def for_marks(recogniser: Recogniser) -> Recogniser:
    """Return the recogniser of marks; other engines than the pair serve as is."""
    if not isinstance(recogniser, PairedRecogniser):
        return recogniser
    return recogniser.weighing(load_fusion(_WEIGHTS))
