"""Is this still the operator's voice? Evidence that runs over several words.

Each word is compared with the operator's own examples of that word: distance
of the network's features, of the spectrum, and of the pitch. A logistic map,
fitted on tuning voices with the voice itself left out, turns the three into a
likelihood ratio; its logarithm is bounded, halved (words of one moment are no
independent witnesses) and added up. One odd word decides nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.enrolment.fitting import VoiceMarks
from voicecheck.speech.enrolment.network_view import background_rows
from voicecheck.speech.enrolment.voice_vector import voice_vector
from voicecheck.speech.network.enrolled import ENROLMENT_NOISES
from voicecheck.speech.network.model import OTHER, WordNetwork

__all__ = ["VoiceMatch", "WordLikeness"]

_PRIOR = 1.0
"""Log odds before the first word: whoever names the operator is mostly them."""
_MOST_A_WORD = 3.0
_INDEPENDENCE = 0.5
_MOST = 6.0
"""The sum stays within this, so that it can turn round again."""
_MISMATCH = -2.0
_FEWEST_WORDS = 4
_CALIBRATION = "voice-match"


@dataclass(frozen=True, slots=True, kw_only=True)
class WordLikeness:
    """How one word compares with the operator's examples of it."""

    features: float
    """Least distance of the network's features, in spreads of other speech."""
    spectrum: float
    """Least distance of the mean spectrum."""
    pitch_octaves: float
    """Distance in pitch, at most 1; 0 where it is unknown."""
    no_pitch: float
    """1 where the pitch is unknown."""
    examples: int
    """How many examples of the word there are."""

    def as_features(self) -> dict[str, float]:
        """Return what the map judges by."""
        return {
            "features": self.features,
            "spectrum": self.spectrum,
            "pitch_octaves": self.pitch_octaves,
            "no_pitch": self.no_pitch,
            "one_example": float(self.examples == 1),
            "two_examples": float(self.examples == 2),
        }


class VoiceMatch:
    """Follow whether one voice is that of a profile.

    Args:
        network: gives the spread of other speech.
        voice: of the profile.
        calibration: the map; None: the shipped one for profiles.
    """

    def __init__(
        self,
        network: WordNetwork,
        voice: VoiceMarks,
        calibration: Calibration | None = None,
    ) -> None:
        self._network = network
        self._voice = voice
        self._calibration = calibration
        self._scale = 1.0 / (background_rows(network)[OTHER].std(axis=0) + 1e-3)
        self._sum = 0.0
        self.words = 0
        """Words that were compared."""

    def carried_to(self, voice: VoiceMarks) -> VoiceMatch:
        """Return one that has heard as much, for the same voice fitted anew."""
        match = VoiceMatch(self._network, voice, self._calibration)
        match._sum, match.words = self._sum, self.words
        return match

    @property
    def trust(self) -> float:
        """Probability 0 … 1 that the profile's owner speaks."""
        return 1.0 / (1.0 + math.exp(-(_PRIOR + self._sum)))

    @property
    def is_mismatch(self) -> bool:
        """True once several words have spoken against the profile's owner."""
        return self.words >= _FEWEST_WORDS and _PRIOR + self._sum <= _MISMATCH

    def compare(
        self, phrase: str, utterance: Frames, features: NDArray[np.float32]
    ) -> WordLikeness | None:
        """Compare one word; None when the profile has no examples of it.

        Args:
            phrase: what was said.
            utterance: the sound.
            features: the network's pooled features of it, shape (width,).
        """
        own = self._voice.words.get(phrase)
        if own is None:
            return None
        apart = np.sqrt(np.mean(((own - features) * self._scale) ** 2, axis=1))
        marks = voice_vector(utterance)
        spectra = self._voice.spectra[phrase] - marks.spectrum
        known = marks.pitch_hz is not None and self._voice.pitch_hz is not None
        octaves = (
            min(1.0, abs(math.log2(marks.pitch_hz / self._voice.pitch_hz)))
            if marks.pitch_hz and self._voice.pitch_hz
            else 0.0
        )
        return WordLikeness(
            features=float(apart.min()),
            spectrum=float(np.sqrt(np.mean(spectra**2, axis=1)).min()),
            pitch_octaves=octaves,
            no_pitch=0.0 if known else 1.0,
            examples=len(own) // len(ENROLMENT_NOISES),
        )

    def take(self, likeness: WordLikeness) -> None:
        """Add the evidence of one word."""
        calibration = self._calibration or load_calibration(_CALIBRATION)
        share = calibration.probability(likeness.as_features())
        share = min(max(share, 1e-6), 1 - 1e-6)
        ratio = math.log(share / (1.0 - share))
        bounded = max(-_MOST_A_WORD, min(_MOST_A_WORD, ratio))
        total = self._sum + _INDEPENDENCE * bounded
        self._sum = max(-_MOST, min(_MOST, total))
        self.words += 1
