"""Is one recording a usable example? Level, clipping, noise, length, one word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from voicecheck.audio.activity import BLOCK_S, EndpointSettings, Utterance
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import Loudness, judge_level
from voicecheck.speech.fusion import AROUND_S, SHORTEST_S_A_LETTER

__all__ = ["Fault", "SoundCheck", "check_sound", "trimmed"]

NOISY_DB = 10.0
"""Below this an example is taken all the same, and the session says so."""
LOUD_DB = 3.0
"""Below this the word is lost in the noise (our choice, tried on idle noise)."""
_LONGEST_S, _LONGEST_S_A_LETTER = 0.7, 0.1
_KEEP_S = 0.1
"""Background kept at both ends of a word."""


class Fault(StrEnum):
    """Why a recording is no example."""

    SILENT = "silent"
    TOO_QUIET = "too quiet"
    CLIPPING = "too loud for the microphone"
    NOISE = "lost in the noise"
    LENGTH = "too short or too long"
    SEVERAL = "more than one utterance"
    NOTHING = "no speech"
    OTHER_WORD = "sounds like another word"
    UNLIKE = "unlike your other examples"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundCheck:
    """What was found on one recording."""

    faults: tuple[Fault, ...]
    snr_db: float
    noisy: bool
    """Usable, but said in noise."""


def check_sound(phrase: str, utterance: Frames, snr_db: float) -> SoundCheck:
    """Check level, clipping, noise and length of an utterance.

    Args:
        phrase: what was to be said.
        utterance: as the end-pointing cut it, shape (n,), n >= 1.
        snr_db: level of the word over the background.
    """
    faults = list(_level_faults(utterance))
    if not faults and snr_db < LOUD_DB:
        faults.append(Fault.NOISE)
    if not _has_plausible_length(phrase, utterance.size / RATE_HZ):
        faults.append(Fault.LENGTH)
    return SoundCheck(
        faults=tuple(faults), snr_db=snr_db, noisy=LOUD_DB <= snr_db < NOISY_DB
    )


def _has_plausible_length(text: str, utterance_s: float) -> bool:
    """Tell whether a phrase can last as long as the utterance.

    A sentence of talk nearby often holds something like one of our words; it
    lasts too long for it. The bounds are wide: slow speakers and words whose
    end is lost in noise must pass (measured on the tuning voices).

    Args:
        text: the phrase.
        utterance_s: with the background that the end-pointing keeps around it.
    """
    voiced_s = utterance_s - AROUND_S
    return (
        SHORTEST_S_A_LETTER * len(text)
        <= voiced_s
        <= _LONGEST_S + _LONGEST_S_A_LETTER * len(text)
    )


def _level_faults(utterance: Frames) -> Iterator[Fault]:
    match judge_level(utterance).loudness:
        case Loudness.SILENT:
            yield Fault.SILENT
        case Loudness.TOO_QUIET:
            yield Fault.TOO_QUIET
        case Loudness.CLIPPING:
            yield Fault.CLIPPING
        case Loudness.GOOD:
            return


def trimmed(utterance: Utterance, settings: EndpointSettings | None = None) -> Frames:
    """Return an utterance with 0.1 s of its background at both ends."""
    used = settings or EndpointSettings()
    before = max(0, round((used.before_s - _KEEP_S) * RATE_HZ))
    after = max(0, round((used.after_s - _KEEP_S) * RATE_HZ))
    frames = utterance.frames
    kept = frames[before : frames.size - after]
    return kept if kept.size >= 0.1 * RATE_HZ else frames


def estimated_snr_db(utterance: Frames) -> float:
    """Estimate speech over background from the quiet edge of an utterance.

    Returns:
        dB, 0 … 60: the loudest tenth of a second over the first 0.15 s.
    """
    edge = round(0.15 * RATE_HZ)
    floor = float(np.mean(np.square(utterance[:edge]))) + 1e-10
    part = round(0.1 * RATE_HZ)
    energy = np.cumsum(np.square(utterance, dtype=np.float64))
    loudest = float(np.max(energy[part:] - energy[:-part])) / part
    return float(np.clip(10 * np.log10(max(loudest - floor, 1e-10) / floor), 0, 60))


def seconds_of(utterance: Utterance) -> float:
    """How long the speech in an utterance lasts."""
    return (utterance.ends_block - utterance.begins_block + 1) * BLOCK_S
