"""Set a prompt's level and tone so that it is understood, and no louder.

Two steps, the plainest first: turn the whole prompt up as little as the target
needs; where that alone passes the safe level, search for the mildest octave
equalisation that does it. The search is exact on a grid of whole decibels
(see `voicecheck.hearing.band_search`), since the octave method adds up band by
band.

Source:
    Index: ANSI S3.5-1997, octave band procedure. The search is ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from voicecheck.hearing.band_search import (
    BandChoice,
    best_choice,
    is_reachable,
    is_reachable_at_any_energy,
    mildest_choice,
)
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.sii import (
    checked_importance,
    octave_disturbance_db,
    octave_spectrum_db,
    octave_terms,
)
from voicecheck.hearing.sii_tables import OCTAVE
from voicecheck.hearing.spectrum import Levels, OctaveLevels

__all__ = [
    "PromptLimits",
    "PromptSetting",
    "PromptVerdict",
    "level_prompt",
]

BANDS = len(OCTAVE.midband_hz)
GAIN_STEP_DB = 0.1
SEARCH_CEILING_DB = 90.0
"""Gain tried when only the reason for a failure is looked for."""


class PromptVerdict(StrEnum):
    """Whether the prompt can be understood, and if not, what stands in the way."""

    REACHED = "understood"
    SAFE_LEVEL = "not reached without passing the safe level"
    GAIN_LIMIT = "not reached with the loudness that the device has"
    OUT_OF_REACH = "not reached at any level"


@dataclass(frozen=True, slots=True, kw_only=True)
class PromptLimits:
    """What a prompt is to reach and may not pass."""

    target_sii: float = 0.75
    cap_dba: float = 82.0
    """Highest A-weighted level of the prompt at the ear while it speaks.

    Two sounds of 82 dBA make 85 dBA, the level that the usual eight-hour
    criterion allows. So a prompt at the cap keeps the sum within 85 dBA in any
    remaining noise of up to 82 dBA, even if it never paused.
    """
    max_gain_db: float = 30.0
    """What the device can add before it clips, in any band."""
    equaliser_db: float = 12.0
    """Furthest that any band may stray from the gain of the whole."""

    def __post_init__(self) -> None:
        """Refuse limits that cannot be met by anything."""
        if not 0 < self.target_sii <= 1:
            raise LevelError("target index", self.target_sii, "above 0, at most 1")
        if not 0 <= self.equaliser_db <= 24:
            raise LevelError("equaliser range", self.equaliser_db, "0 to 24 dB")
        if not (math.isfinite(self.cap_dba) and math.isfinite(self.max_gain_db)):
            raise LevelError("prompt limits", "no number", "finite decibels")


@dataclass(frozen=True, slots=True, kw_only=True)
class PromptSetting:
    """What to do to the prompt, and what comes of it."""

    gain_db: float
    equaliser_db: tuple[float, ...]
    """Change of each octave from 250 Hz to 8 kHz on top of the gain; what lies
    below 250 Hz follows that band."""
    sii_before: float
    sii: float
    level_before_dba: float
    level_dba: float
    """The prompt alone at the ear, as set."""
    verdict: PromptVerdict

    @property
    def band_gains_db(self) -> tuple[float, ...]:
        """Gain and equalisation together, 250 Hz to 8 kHz."""
        return tuple(self.gain_db + change for change in self.equaliser_db)


@dataclass(frozen=True, slots=True)
class _Case:
    """One prompt in one noise, ready for arithmetic."""

    prompt: OctaveLevels
    disturbance_db: Levels
    importance: Levels

    def terms(self, band_gains_db: Levels) -> Levels:
        speech = np.asarray(octave_spectrum_db(self.prompt)) + band_gains_db
        return octave_terms(speech, self.disturbance_db, self.importance)

    def sii(self, band_gains_db: Levels) -> float:
        return float(np.sum(self.terms(band_gains_db)))

    def changed(self, band_gains_db: Levels) -> OctaveLevels:
        below = len(self.prompt.level_db) - BANDS
        gains = np.concatenate([np.full(below, band_gains_db[0]), band_gains_db])
        return self.prompt.shifted([float(gain) for gain in gains])

    def level_dba(self, band_gains_db: Levels) -> float:
        return self.changed(band_gains_db).a_level_dba

    def band_levels_dba(self) -> Levels:
        """A-weighted level of each equaliser band; the lowest takes all below."""
        alone = []
        for band in range(BANDS):
            only = np.full(BANDS, -np.inf)
            only[band] = 0.0
            alone.append(self.level_dba(only))
        return np.asarray(alone)


def level_prompt(
    prompt_at_ear: OctaveLevels,
    noise_at_ear: OctaveLevels,
    *,
    limits: PromptLimits | None = None,
    threshold_db: float | Sequence[float] = 0.0,
    importance: Sequence[float] | None = None,
) -> PromptSetting:
    """Find gain and equalisation for a prompt in noise.

    Args:
        prompt_at_ear: octave levels at the ear, under the protector, as the
            prompt is played now.
        noise_at_ear: octave levels of the noise at the same place.
        limits: target, safe level and reach of the device.
        threshold_db: hearing threshold of the listener, one value or six.
        importance: band weights, six; average speech if left out.

    Returns:
        The prompt left as it is where that will do; else the least gain that
        reaches the target; else the mildest equalisation that does; else what
        comes nearest within the limits, with the reason.

    Raises:
        LevelError: the prompt is silent, or a count is wrong.
    """
    limits = limits or PromptLimits()
    if math.isinf(prompt_at_ear.a_level_dba):
        raise LevelError("prompt", "silence", "a sound with speech in it")
    case = _Case(
        prompt=prompt_at_ear,
        disturbance_db=octave_disturbance_db(
            octave_spectrum_db(noise_at_ear), threshold_db
        ),
        importance=checked_importance(importance, OCTAVE),
    )
    gain = _least_gain_db(case, limits)
    if gain is not None:
        return _setting(case, gain, np.zeros(BANDS), PromptVerdict.REACHED)
    mild = mildest_choice(_choice(case, limits), limits.target_sii)
    if mild is not None:
        return _setting(case, *mild, PromptVerdict.REACHED)
    best = best_choice(_choice(case, limits))
    return _setting(case, *best, _reason(case, limits))


def _least_gain_db(case: _Case, limits: PromptLimits) -> float | None:
    """Return the least gain that reaches the target, None if none does.

    The prompt is never turned down unless the safe level asks for it.
    """
    flat = np.zeros(BANDS)
    room_db = limits.cap_dba - case.level_dba(flat)
    highest = min(room_db, limits.max_gain_db)
    lowest = min(0.0, highest)
    steps = math.floor((highest - lowest) / GAIN_STEP_DB + 1e-9)
    for step in range(steps + 1):
        gain = lowest + step * GAIN_STEP_DB
        if case.sii(flat + gain) >= limits.target_sii:
            return gain
    return None


def _choice(case: _Case, limits: PromptLimits) -> BandChoice:
    """Lay out what every band could be set to."""
    room_db = limits.cap_dba - case.level_dba(np.zeros(BANDS))
    lowest = math.floor(min(0.0, room_db)) - 2 * math.ceil(limits.equaliser_db)
    highest = max(limits.max_gain_db, float(lowest))
    gains = np.append(np.arange(lowest, highest, 1.0), highest)
    terms = case.terms(np.repeat(gains[:, None], BANDS, axis=1))
    levels = case.band_levels_dba() + gains[:, None]
    return BandChoice(
        gains_db=gains,
        value=terms,
        energy=10 ** ((levels - limits.cap_dba) / 10),
        reach_db=limits.equaliser_db,
    )


def _reason(case: _Case, limits: PromptLimits) -> PromptVerdict:
    """Tell which limit would have to give way."""
    target = limits.target_sii
    as_it_is = _choice(case, limits)
    louder = _choice(case, replace(limits, max_gain_db=SEARCH_CEILING_DB))
    if is_reachable_at_any_energy(as_it_is, target):
        return PromptVerdict.SAFE_LEVEL
    if is_reachable(louder, target):
        return PromptVerdict.GAIN_LIMIT
    if is_reachable_at_any_energy(louder, target):
        return PromptVerdict.SAFE_LEVEL
    return PromptVerdict.OUT_OF_REACH


def _setting(
    case: _Case, gain_db: float, equaliser_db: Levels, verdict: PromptVerdict
) -> PromptSetting:
    flat = np.zeros(BANDS)
    gains = equaliser_db + gain_db
    return PromptSetting(
        gain_db=round(float(gain_db), 6) + 0.0,
        equaliser_db=tuple(round(float(change), 6) + 0.0 for change in equaliser_db),
        sii_before=case.sii(flat),
        sii=case.sii(gains),
        level_before_dba=case.level_dba(flat),
        level_dba=case.level_dba(gains),
        verdict=verdict,
    )
