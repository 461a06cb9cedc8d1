"""The speech intelligibility index: how much of the speech can be heard.

Spectrum levels in, a figure between 0 and 1 out. Speech, noise and hearing
threshold are those at the listener's ear, as spectrum levels
(`octave_spectrum_db` makes them from band levels). -inf stands for silence.

Source:
    ANSI S3.5-1997, clause 4 (octave and one-third octave band procedures).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.sii_tables import OCTAVE, THIRD_OCTAVE, SiiBands, VocalEffort
from voicecheck.hearing.spectrum import Levels, OctaveLevels

__all__ = [
    "Intelligibility",
    "SiiResult",
    "checked_importance",
    "octave_disturbance_db",
    "octave_spectrum_db",
    "octave_terms",
    "rate_intelligibility",
    "sii_octave",
    "sii_third_octave",
    "standard_speech",
]

SELF_MASKING_DB = 24.0
"""Speech masks itself this far below its own level."""

GOOD_SII = 0.75
POOR_SII = 0.45


class Intelligibility(StrEnum):
    """What an index means for conversation."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiiResult:
    """The index and what it was made of; every tuple has one entry per band."""

    index: float
    masking_db: tuple[float, ...]
    """Equivalent masking spectrum level Z (the noise itself for octaves)."""
    disturbance_db: tuple[float, ...]
    """Equivalent disturbance spectrum level D."""
    distortion: tuple[float, ...]
    """Level distortion factor L: below 1 where speech is too loud to be clear."""
    audibility: tuple[float, ...]
    """K: the part of the speech peaks and valleys above the disturbance."""


def sii_octave(
    speech_db: Sequence[float],
    noise_db: Sequence[float],
    *,
    threshold_db: ArrayLike = 0.0,
    importance: Sequence[float] | None = None,
) -> SiiResult:
    """Return the index by the octave band procedure.

    Args:
        speech_db: spectrum levels E at 250 Hz to 8 kHz, six values.
        noise_db: spectrum levels N, six values.
        threshold_db: hearing threshold T (0 is normal hearing), one value or six.
        importance: weights of the bands, adding up to 1; average speech if left
            out.

    Raises:
        LevelError: a count is wrong, a level is not a number, or the weights
            do not add up to 1.
    """
    noise = _levels(noise_db, OCTAVE, "noise")
    return _index(speech_db, noise, threshold_db, importance, OCTAVE)


def sii_third_octave(
    speech_db: Sequence[float],
    noise_db: Sequence[float],
    *,
    threshold_db: ArrayLike = 0.0,
    importance: Sequence[float] | None = None,
) -> SiiResult:
    """Return the index by the one-third octave band procedure.

    Spread of masking and self-masking are counted here and only here.
    Arguments and errors are those of `sii_octave`, with 18 bands from 160 Hz
    to 8 kHz.
    """
    speech = _levels(speech_db, THIRD_OCTAVE, "speech")
    noise = _levels(noise_db, THIRD_OCTAVE, "noise")
    masking = _spread_of_masking_db(speech, noise)
    return _index(speech_db, masking, threshold_db, importance, THIRD_OCTAVE)


def octave_disturbance_db(
    noise_db: Sequence[float], threshold_db: ArrayLike = 0.0
) -> Levels:
    """Return D of the octave procedure: the louder of noise and own hearing."""
    return _disturbance_db(_levels(noise_db, OCTAVE, "noise"), threshold_db, OCTAVE)


def octave_terms(
    speech_db: Levels, disturbance_db: Levels, importance: Levels
) -> Levels:
    """Return each band's share I·L·K of the index.

    Args:
        speech_db: spectrum levels, shape (..., 6).
        disturbance_db: shape (6,), from `octave_disturbance_db`.
        importance: shape (6,).
    """
    distortion = _distortion(speech_db, OCTAVE)
    return np.asarray(importance * distortion * _audibility(speech_db, disturbance_db))


def octave_spectrum_db(levels: OctaveLevels) -> tuple[float, ...]:
    """Return spectrum levels at 250 Hz to 8 kHz from octave band levels."""
    bands = zip(levels.speech_bands_db, OCTAVE.bandwidth_db, strict=True)
    return tuple(level - bandwidth for level, bandwidth in bands)


def standard_speech(effort: VocalEffort) -> OctaveLevels:
    """Return octave band levels of standard speech at 1 m, nothing at 125 Hz."""
    bands = zip(OCTAVE.speech_db[effort], OCTAVE.bandwidth_db, strict=True)
    return OctaveLevels.of((-np.inf, *(level + width for level, width in bands)))


def rate_intelligibility(index: float) -> Intelligibility:
    """Put an index into a word; exact boundaries fall to the upper word.

    Source:
        Rule of thumb in ANSI S3.5 (above 0.75 good, below 0.45 poor), from
        memory. A small set of known words needs far less than free text.
    """
    if index >= GOOD_SII:
        return Intelligibility.GOOD
    return Intelligibility.FAIR if index >= POOR_SII else Intelligibility.POOR


def checked_importance(importance: Sequence[float] | None, bands: SiiBands) -> Levels:
    """Return the weights as an array, average speech by default."""
    weights = np.asarray(
        bands.importance if importance is None else importance, dtype=np.float64
    )
    count = len(bands.midband_hz)
    usable = weights.shape == (count,) and bool(np.all(weights >= 0))
    if not usable or abs(float(weights.sum()) - 1) > 1e-3:
        raise LevelError(
            "band importance", importance, f"{count} weights that add up to 1"
        )
    return weights


def _levels(values_db: Sequence[float], bands: SiiBands, name: str) -> Levels:
    levels = np.asarray(values_db, dtype=np.float64)
    count = len(bands.midband_hz)
    if levels.shape != (count,) or bool(np.any(np.isnan(levels) | (levels == np.inf))):
        raise LevelError(
            f"{name} spectrum", values_db, f"{count} levels in decibels, one per band"
        )
    return levels


def _disturbance_db(
    masking: Levels, threshold_db: ArrayLike, bands: SiiBands
) -> Levels:
    threshold = np.asarray(threshold_db, dtype=np.float64)
    if threshold.shape not in ((), masking.shape) or not np.all(np.isfinite(threshold)):
        raise LevelError(
            "hearing threshold", threshold_db, f"one level or {masking.size} of them"
        )
    own = np.asarray(bands.internal_noise_db, dtype=np.float64) + threshold
    return np.asarray(np.maximum(masking, own))


def _distortion(speech: Levels, bands: SiiBands) -> Levels:
    normal = np.asarray(bands.speech_db[VocalEffort.NORMAL])
    return np.asarray(np.clip(1 - (speech - normal - 10) / 160, 0, 1))


def _audibility(speech: Levels, disturbance: Levels) -> Levels:
    return np.asarray(np.clip((speech - disturbance + 15) / 30, 0, 1))


def _spread_of_masking_db(speech: Levels, noise: Levels) -> Levels:
    hz = np.asarray(THIRD_OCTAVE.midband_hz)
    masker = np.maximum(noise, speech - SELF_MASKING_DB)
    slope = -80 + 0.6 * (masker + 10 * np.log10(hz) - 6.353)
    masking = np.empty_like(noise)
    masking[0] = masker[0]
    for i in range(1, hz.size):
        reach = 3.32 * slope[:i] * np.log10(0.89 * hz[i] / hz[:i])
        energy = 10 ** (noise[i] / 10) + np.sum(10 ** ((masker[:i] + reach) / 10))
        masking[i] = 10 * np.log10(energy) if energy > 0 else -np.inf
    return masking


def _index(
    speech_db: Sequence[float],
    masking: Levels,
    threshold_db: ArrayLike,
    importance: Sequence[float] | None,
    bands: SiiBands,
) -> SiiResult:
    speech = _levels(speech_db, bands, "speech")
    weights = checked_importance(importance, bands)
    disturbance = _disturbance_db(masking, threshold_db, bands)
    distortion = _distortion(speech, bands)
    audibility = _audibility(speech, disturbance)
    return SiiResult(
        index=float(np.sum(weights * distortion * audibility)),
        masking_db=_tuple(masking),
        disturbance_db=_tuple(disturbance),
        distortion=_tuple(distortion),
        audibility=_tuple(audibility),
    )


def _tuple(values: Levels) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
