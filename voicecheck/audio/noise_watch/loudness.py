"""When it is too loud to hear reliably, and when it is quiet again.

The thresholds come from the hearing benchmark (`bench/measured/hearing.json`),
trials with pink noise, idling engine, alarm and wind pooled:

    SNR      network, taken right     bare engine, right / wrong
    10 dB    203 of 266 (0.76)        21 of 22 / 1 of 22
     5 dB    203 of 266 (0.76)        17 of 22 / 4 of 22
     0 dB    373 of 532 (0.70)        25 of 46 / 9 of 46
    -5 dB    214 of 399 (0.54)        14 of 33 / 8 of 33

From 5 dB down the engine begins to take wrong words, from 0 dB down the
network begins to refuse right ones. In between the program becomes careful.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["LOUD_BELOW_DB", "QUIET_ABOVE_DB", "Advice", "Change", "Hysteresis"]

LOUD_BELOW_DB = 3.0
"""Speech over noise, unweighted, below which hearing is not reliable."""
QUIET_ABOVE_DB = 6.0
"""Above this it is again: wide enough that a sentence more or less of wind
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
    """Two thresholds, and some patience at each."""

    def __init__(self) -> None:
        self.too_loud = False
        self._since_s = 0.0

    def saw(self, snr_db: float, seconds: float) -> bool:
        """Take in a ratio that held for some seconds; True when it changes."""
        against = snr_db > QUIET_ABOVE_DB if self.too_loud else snr_db < LOUD_BELOW_DB
        self._since_s = self._since_s + seconds if against else 0.0
        patience_s = QUIET_AFTER_S if self.too_loud else LOUD_AFTER_S
        if self._since_s < patience_s:
            return False
        self.too_loud = not self.too_loud
        self._since_s = 0.0
        return True
