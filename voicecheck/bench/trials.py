"""Trials: one clip in one noise, as an open microphone would hear it.

0.4 s of noise before the word and 0.7 s after; pitch, tempo and level change
from trial to trial; every second trial is in a room.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import soxr

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import guard_peak, mix_at_snr
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.corpus import Clip
from voicecheck.bench.room import reverberate, room_response

__all__ = ["CONDITIONS", "Condition", "make_trial"]

LEAD_S, TAIL_S = 0.4, 0.7
QUIET_SNR_DB = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A noise at a ratio."""

    kind: NoiseKind
    """The noise."""
    snr_db: float
    """Active speech level minus noise level, unweighted, 0 to 8 kHz."""

    @property
    def name(self) -> str:
        """Short name for tables: noise and ratio."""
        if self.kind is NoiseKind.QUIET:
            return "quiet"
        return f"{self.kind.value} {self.snr_db:g}"


def _conditions() -> tuple[Condition, ...]:
    asked = (
        (NoiseKind.PINK, 15.0),
        (NoiseKind.IDLE, 10.0),
        (NoiseKind.PINK, 5.0),
        (NoiseKind.IDLE, 0.0),
        (NoiseKind.ALARM, 0.0),
        (NoiseKind.WIND, 0.0),
        (NoiseKind.CRUSHER, 5.0),
        (NoiseKind.BABBLE, 15.0),
        (NoiseKind.BABBLE, 5.0),
    )
    harder = ((k, s - 5) for k, s in asked if (k, s - 5) not in asked)
    return (
        Condition(kind=NoiseKind.QUIET, snr_db=QUIET_SNR_DB),
        *(Condition(kind=k, snr_db=s) for k, s in (*asked, *harder)),
    )


CONDITIONS = _conditions()
"""Quiet, the nine of the goals, and each 5 dB harder."""


def make_trial(
    clip: Clip,
    condition: Condition,
    rng: np.random.Generator,
    *,
    talkers: tuple[Frames, ...] = (),
    plain: bool = False,
) -> Frames:
    """Return what the microphone hears.

    Args:
        clip: the utterance.
        condition: the noise and the ratio.
        rng: source of chance: noise, rate, room, level.
        talkers: clips for babble.
        plain: leave rate and room as they are.
    """
    word = clip.frames
    if not plain:
        word = soxr.resample(word, RATE_HZ, RATE_HZ / rng.uniform(0.92, 1.09))
        if rng.uniform() < 0.5:
            word = reverberate(word, room_response(rng))
    lead, tail = int(LEAD_S * RATE_HZ), int(TAIL_S * RATE_HZ)
    speech = np.concatenate(
        [np.zeros(lead, np.float32), word, np.zeros(tail, np.float32)]
    )
    around = noise(condition.kind, speech.size, rng, talkers=talkers)
    heard = guard_peak(mix_at_snr(speech, around, condition.snr_db))
    peak = float(np.abs(heard).max())
    level = 10 ** (rng.uniform(-24, -2) / 20)
    return np.asarray(heard * np.float32(level / peak), dtype=np.float32)
