"""Comparing ways to speak a prompt."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.limiter import CEILING
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.ports import Sound
from voicecheck.bench.prompt_trials import SHIPPED, Way, render, score, ways
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.speech.pyttsx3_synthesiser import PROMPT_VOICES, Voice

USUAL = Way(name="usual", voice=PROMPT_VOICES["en"])
TEXTS = ("one", "another")


class Hum:
    """Stands for a voice: a buzz with the rhythm of syllables, one for each text."""

    def speak_as(self, text: str, voice: Voice) -> Sound:
        seconds = 1.2 * 165 / voice.words_a_minute
        time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
        buzz = sum(
            np.sin(2 * np.pi * 120 * k * time_s + len(text) * k) / k
            for k in range(1, 40)
        )
        frames = 0.05 * buzz * (0.55 + 0.45 * np.sin(2 * np.pi * 4 * time_s))
        return Sound(frames=frames.astype(np.float32), rate_hz=RATE_HZ)


def a_level(frames: np.ndarray) -> float:
    return prompt_octaves(frames, RATE_HZ, Calibration(0.0)).a_level_dba


@pytest.mark.parametrize("way", ways(), ids=lambda way: way.name)
def test_every_way_is_compared_at_the_same_level(way: Way) -> None:
    """Louder would always win: each comes out at 0 dB, A-weighted."""
    plain, shaped = render(way, "text", Hum(), None)  # type: ignore[arg-type]
    assert a_level(plain) == pytest.approx(0.0, abs=0.01)
    assert a_level(shaped) == pytest.approx(0.0, abs=0.01)


def test_names_are_distinct_and_the_usual_comes_first() -> None:
    """The table is read against its first row."""
    names = [way.name for way in ways()]
    assert names[0] == "usual"
    assert len(set(names)) == len(names)
    assert {"140 words a minute", "190 words a minute"} <= set(names)


def test_the_limiter_leaves_less_between_peak_and_mean() -> None:
    """Mild compression: the same level with lower peaks."""
    plain, shaped = render(
        replace(USUAL, drive_db=6.0),
        "text",
        Hum(),  # type: ignore[arg-type]
        None,
    )
    assert np.abs(shaped).max() < np.abs(plain).max()
    assert CEILING < 1


def test_better_ratios_score_higher() -> None:
    """Both measures rise with the ratio, and near silence little is lost."""
    low, high = (
        score(USUAL, TEXTS, Hum(), snr_db=snr)  # type: ignore[arg-type]
        for snr in (0.0, 30.0)
    )
    assert min(high.sii) > max(low.sii)
    assert min(high.stoi) > max(low.stoi)
    assert min(high.stoi) > 0.95
    assert min(high.estoi) > max(low.estoi)


def test_the_equaliser_of_the_index_raises_the_index() -> None:
    """It is chosen for that, at an unchanged level."""
    by_index = Way(name="index", voice=USUAL.voice, band_gains_db=())
    plain = score(USUAL, TEXTS, Hum())  # type: ignore[arg-type]
    shaped = score(by_index, TEXTS, Hum())  # type: ignore[arg-type]
    assert np.mean(shaped.sii) > np.mean(plain.sii)


def test_noise_is_the_same_for_every_way() -> None:
    """The same way twice gives the same figures; another seed does not."""
    first, again, other = (
        score(USUAL, TEXTS, Hum(), kind=NoiseKind.PINK, seed=seed)  # type: ignore[arg-type]
        for seed in (1, 1, 2)
    )
    assert first.sii == again.sii
    # the library adds a trace of random noise in the extended measure
    assert first.estoi == pytest.approx(again.estoi, abs=1e-6)
    assert first.stoi != other.stoi


def test_every_way_says_which_choice_it_is() -> None:
    """One change at a time but for those that go together."""
    choices = {way.name: way.choice for way in ways()}

    assert choices["usual"] == "usual"
    assert choices["140 words a minute"] == "rate"
    assert choices["pitch 80"] == "pitch"
    assert choices["standard equaliser"] == "equaliser"
    assert choices["limiter, 6 dB"] == "compression"
    assert choices[SHIPPED] == "together"
