"""Can a tone be heard in noise? The masked threshold, octave by octave.

Source:
    ISO 7731:2003, auditory danger signals, octave band analysis, from memory:
    noise masks its own octave and, 7.5 dB less for each octave, those above; a
    signal at least 10 dB over the masked threshold in one octave is heard
    clearly.
"""

from __future__ import annotations

import math

from voicecheck.hearing.spectrum import OctaveLevels

__all__ = ["CLEAR_DB", "audible_margin_db", "masked_threshold"]

CLEAR_DB = 10.0
"""Margin in one octave from which a signal is heard clearly."""

UPWARD_FALL_DB = 7.5
"""Loss of masking from one octave to the next higher one."""


def masked_threshold(noise: OctaveLevels) -> OctaveLevels:
    """Return the level that a signal must pass in each octave to be heard.

    The threshold of hearing is left out: in noise it does not matter.
    """
    threshold = []
    below = -math.inf
    for level in noise.level_db:
        below = max(level, below - UPWARD_FALL_DB)
        threshold.append(below)
    return OctaveLevels.of(threshold)


def audible_margin_db(signal: OctaveLevels, noise: OctaveLevels) -> float:
    """Return how far the best octave of a signal lies over the masked threshold.

    Args:
        signal: octave levels of the signal at the ear while it sounds.
        noise: of the noise at the ear.

    Returns:
        dB; below 0 it is masked everywhere, from `CLEAR_DB` on it is clear;
        inf where the noise is silent, -inf for a silent signal.
    """
    threshold = masked_threshold(noise).level_db
    count = min(len(threshold), len(signal.level_db))
    pairs = zip(signal.level_db[-count:], threshold[-count:], strict=True)
    sounding = [(a, b) for a, b in pairs if not math.isinf(a)]
    return max((a - b for a, b in sounding), default=-math.inf)
