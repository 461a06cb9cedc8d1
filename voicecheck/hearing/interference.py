"""Can two people talk here? The speech interference level.

Source:
    ISO 9921:2003, speech interference level and its table of vocal
    efforts. Those efforts are A-weighted levels at 1 m and are not those of
    ANSI S3.5.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum, StrEnum

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.spectrum import OctaveLevels

__all__ = [
    "SpeechInterference",
    "TalkRating",
    "Voice",
    "interference_level_db",
    "rate_talk",
    "speech_interference",
]

CLARITY_LIMIT_DBA = 75.0
CLARITY_LOSS_PER_DB = 0.4


class Voice(Enum):
    """How a person talks, with the A-weighted level at 1 m."""

    RELAXED = 54.0
    NORMAL = 60.0
    RAISED = 66.0
    LOUD = 72.0
    VERY_LOUD = 78.0

    @property
    def level_at_1_m_dba(self) -> float:
        """A-weighted speech level one metre in front of the lips."""
        return float(self.value)


class TalkRating(StrEnum):
    """How well two people understand each other."""

    EXCELLENT = "excellent"
    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    BAD = "bad"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechInterference:
    """Speech at the listener against the noise there."""

    noise_db: float
    """L_SIL, the mean of the noise in the four octaves."""
    speech_dba: float
    """Speech level at the listener, loss of clarity taken off."""
    margin_db: float
    """Speech less noise: the figure that is rated."""
    rating: TalkRating


def interference_level_db(noise: OctaveLevels) -> float:
    """Return L_SIL: the mean level at 500 Hz, 1, 2 and 4 kHz."""
    return sum(noise.speech_bands_db[1:5]) / 4.0


def speech_interference(
    noise: OctaveLevels, voice: Voice, distance_m: float = 1.0
) -> SpeechInterference:
    """Rate talk between two people in the open, without protectors.

    Voices above 75 dBA lose clarity: 0.4 dB for each dB above is taken off
    (from memory of the standard).

    Raises:
        LevelError: the distance is not above 0.
    """
    if not (distance_m > 0 and math.isfinite(distance_m)):
        raise LevelError("distance to the listener", distance_m, "metres above 0")
    at_1_m = voice.level_at_1_m_dba
    unclear_db = CLARITY_LOSS_PER_DB * max(0.0, at_1_m - CLARITY_LIMIT_DBA)
    speech = at_1_m - 20 * math.log10(distance_m) - unclear_db
    level = interference_level_db(noise)
    margin = speech - level
    return SpeechInterference(
        noise_db=level, speech_dba=speech, margin_db=margin, rating=rate_talk(margin)
    )


def rate_talk(margin_db: float) -> TalkRating:
    """Put a margin into a word.

    Above 21 is excellent; exactly 21 is good, and exactly 15, 10 and 3 belong
    to the better word (the standard's table leaves the ties open).
    """
    margin = round(margin_db, 9)
    if margin > 21:
        return TalkRating.EXCELLENT
    if margin >= 15:
        return TalkRating.GOOD
    if margin >= 10:
        return TalkRating.FAIR
    return TalkRating.POOR if margin >= 3 else TalkRating.BAD
