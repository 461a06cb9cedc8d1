"""When it is too loud to hear reliably, and when it is quiet again.

How far down hearing is reliable depends on the recogniser, which says so with an
attribute `hears_down_to_db`. A bare engine begins to take wrong words from 5 dB
down (pink noise, idling engine, alarm and wind pooled; right / wrong at 10, 5, 0
and -5 dB: 21 / 1, 17 / 4, 25 / 9, 14 / 8 utterances). The usual English recogniser
stays calibrated but begins to lose words: taken at 5, 0 and -5 dB 45 of 46, 79 of
92 and 23 of 46, none of them wrong (voices that nothing was fitted on).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["LOUD_BELOW_DB", "QUIET_AGAIN_DB", "Advice", "Change", "Hysteresis"]

LOUD_BELOW_DB = 3.0
"""Speech over noise, unweighted, below which hearing is not reliable, where the
recogniser says nothing else."""
QUIET_AGAIN_DB = 3.0
"""So far above it is again: wide enough that a sentence more or less of wind
does not make the program change its manners."""
LOUD_AFTER_S = 2.0
"""A lorry's horn is shorter."""
QUIET_AFTER_S = 4.0
"""A pause of the crusher is no end of its noise."""


class Advice(StrEnum):
    """What would help, by what the noise is like."""

    MICROPHONE = "microphone"
    """The voice itself is faint."""
    LOW = "low"
    """Wind or a fan: most of it is low."""
    BANGS = "bangs"
    """Bangs and clatter: they end by themselves."""
    STEADY = "steady"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """It became too loud, or quiet again."""

    too_loud: bool
    advice: Advice
    noise: float
    """A-weighted level of the noise, in the unit below."""
    unit: str
    """dB(A) with a calibrated microphone, else dBFS(A)."""
    snr_db: float
    """Usual level of the voice over the noise."""


class Hysteresis:
    """Two thresholds, and some patience at each.

    Args:
        loud_below_db: the lower one; speech over noise.
    """

    def __init__(self, loud_below_db: float = LOUD_BELOW_DB) -> None:
        self.loud_below_db = loud_below_db
        self.too_loud = False
        self._since_s = 0.0

    def saw(self, snr_db: float, seconds: float) -> bool:
        """Take in a ratio that held for some seconds; True when it changes."""
        quiet_above_db = self.loud_below_db + QUIET_AGAIN_DB
        against = (
            snr_db > quiet_above_db if self.too_loud else snr_db < self.loud_below_db
        )
        self._since_s = self._since_s + seconds if against else 0.0
        patience_s = QUIET_AFTER_S if self.too_loud else LOUD_AFTER_S
        if self._since_s < patience_s:
            return False
        self.too_loud = not self.too_loud
        self._since_s = 0.0
        return True
