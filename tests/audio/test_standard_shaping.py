"""How prompts are played where no sound check was saved."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.limiter import CEILING
from voicecheck.audio.ports import Sound
from voicecheck.audio.standard_shaping import STANDARD_EQUALISER_DB, shape_by_standard
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.spectrum import OctaveLevels


def hiss(level: float) -> Sound:
    """Steady noise in every octave."""
    data = np.random.default_rng(3).standard_normal(22_050) * level
    return Sound(frames=data.astype(np.float32), rate_hz=22_050)


def levels(sound: Sound) -> OctaveLevels:
    return prompt_octaves(sound.frames, sound.rate_hz, Calibration(0.0))


@pytest.mark.parametrize(
    "sound", [hiss(0.05), hiss(0.01), *(make_tone(tone) for tone in Tone)]
)
def test_nothing_gets_louder(sound: Sound) -> None:
    """The A-weighted level stays: nobody knows how loud the headset is."""
    change_db = levels(shape_by_standard(sound)).a_level_dba - levels(sound).a_level_dba

    assert change_db == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize("level", [0.05, 0.2, 0.5])
def test_the_limiter_has_the_last_word(level: float) -> None:
    """No peak passes the ceiling, and a loud sound gets softer rather than clipped."""
    loud = hiss(level)

    out = shape_by_standard(loud)

    assert float(np.abs(out.frames).max()) <= CEILING + 1e-6
    assert levels(out).a_level_dba <= levels(loud).a_level_dba + 0.1


def test_treble_is_raised_against_the_middle() -> None:
    """By what the standard equaliser says, give or take 1.5 dB."""
    change = np.subtract(
        levels(shape_by_standard(hiss(0.02))).speech_bands_db,
        levels(hiss(0.02)).speech_bands_db,
    )

    assert change - change[2] == pytest.approx(
        np.subtract(STANDARD_EQUALISER_DB, STANDARD_EQUALISER_DB[2]), abs=1.5
    )


def test_silence_stays_silence() -> None:
    """There is nothing to level."""
    silence = Sound(np.zeros(500, dtype=np.float32), 16_000)

    assert shape_by_standard(silence) is silence
