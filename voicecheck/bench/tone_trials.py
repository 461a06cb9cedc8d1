"""Can the tones be heard under a protector, in each noise?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.bench.prompt_trials import noise_octaves_played
from voicecheck.checklists.loader import load
from voicecheck.hearing.masking import audible_margin_db
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.protection import REAL_WORLD_DB, octave_levels_under
from voicecheck.hearing.protector import OctaveAttenuation
from voicecheck.hearing.spectrum import OctaveLevels
from voicecheck.speech.prompt_sample import choose_evenly, speak_sample
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

__all__ = ["EAR_DEFENDER", "ToneMargin", "measured_margins", "tone_margins"]

EAR_DEFENDER = OctaveAttenuation(
    mean_db=(13, 20, 33, 35, 38, 47, 41), deviation_db=(6, 6, 6, 6, 7, 8, 8)
)
"""Octave attenuation of an example in HSE's guidance L108 (Great Britain)."""

SEEDS = 5
SECONDS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneMargin:
    """One tone in one noise."""

    noise: NoiseKind
    tone: Tone
    noise_at_ear_dba: float
    margin_db: float
    """Level of the tone's best octave over the masked threshold there."""


def tone_margins(
    outside_dba: float,
    prompt_dba: float,
    prompt_dbfs_a: float,
    *,
    attenuation: OctaveAttenuation = EAR_DEFENDER,
    through_protector: bool = False,
) -> tuple[ToneMargin, ...]:
    """Compute the margin of every tone in every noise but quiet.

    Args:
        outside_dba: level of each noise outside the protector.
        prompt_dba: level of the prompts beside which the tones are played: at
            the ear, or outside where `through_protector`.
        prompt_dbfs_a: A-weighted digital level of those prompts, so that tones
            keep their level relative to them.
        attenuation: of the protector; its mean less one deviation, and 4 dB for
            practice, count for the noise.
        through_protector: tones come from a loudspeaker outside.
    """
    found = []
    for kind in NoiseKind:
        if kind is NoiseKind.QUIET:
            continue
        outside = _mean_octaves(kind).scaled_to_dba(outside_dba)
        ear = octave_levels_under(outside, attenuation).shifted(REAL_WORLD_DB)
        for tone in Tone:
            sound = make_tone(tone)
            level = prompt_octaves(sound.frames, sound.rate_hz, Calibration(0.0))
            signal = level.shifted(prompt_dba - prompt_dbfs_a)
            if through_protector:
                # what helps the noise hides the tone: the full mean counts
                signal = octave_levels_under(signal, attenuation, deviations=0.0)
            found.append(
                ToneMargin(
                    noise=kind,
                    tone=tone,
                    noise_at_ear_dba=ear.a_level_dba,
                    margin_db=audible_margin_db(signal, ear),
                )
            )
    return tuple(found)


def measured_margins(
    outside_dba: float, prompt_dba: float, cache: Path | None = None
) -> dict[str, tuple[ToneMargin, ...]]:
    """Compute the margins beside the prompts that are really spoken.

    Args:
        outside_dba: level of each noise outside the protector.
        prompt_dba: level of the prompts.
        cache: folder for spoken prompts.

    Returns:
        Margins by how the tones come to the ear: headset, loudspeaker.
    """
    texts = choose_evenly([p.prompt for p in load("wheel-loader").checkpoints])
    with Pyttsx3Synthesiser(cache) as synthesiser:
        level_dbfs = speak_sample(synthesiser, texts, "en").octave.a_level_dba
    return {
        name: tone_margins(
            outside_dba, prompt_dba, level_dbfs, through_protector=through
        )
        for name, through in (("headset", False), ("loudspeaker", True))
    }


def _mean_octaves(kind: NoiseKind) -> OctaveLevels:
    """Average the power of several instances of a noise."""
    power = np.zeros(8)
    for seed in range(SEEDS):
        sound = noise(kind, SECONDS * RATE_HZ, np.random.default_rng((7, seed)))
        power += [10 ** (db / 10) for db in noise_octaves_played(sound).level_db]
    return OctaveLevels.of(
        [10 * math.log10(p / SEEDS) if p > 0 else -math.inf for p in power]
    )
