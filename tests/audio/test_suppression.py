"""Noise suppression by RNNoise."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.resample import resample
from voicecheck.audio.suppression import available, suppress
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser


def test_the_library_works_here() -> None:
    """On the computers we test on, RNNoise has a binary."""
    assert available()


def test_steady_noise_gets_much_weaker() -> None:
    """Pink noise alone loses more than 15 dB once the network has settled."""
    sound = noise(NoiseKind.PINK, 48_000, np.random.default_rng(1)) * np.float32(0.05)

    clean = suppress(sound)

    before, after = (
        rms_level_dbfs(sound[16_000:]),
        rms_level_dbfs(clean[16_000:] + 1e-9),
    )
    assert before - after > 15


def test_length_and_type_are_kept() -> None:
    """What comes out is as long as what went in, float32."""
    for length in (1, 479, 480, 5_000, 16_001):
        clean = suppress(np.full(length, 0.01, np.float32))

        assert clean.shape == (length,)
        assert clean.dtype == np.float32


def test_nothing_comes_from_nothing() -> None:
    """An empty sound stays empty."""
    assert len(suppress(np.zeros(0, np.float32))) == 0


def test_speech_stays_in_place() -> None:
    """The library's delay is taken out again, to a few samples."""
    sound = _spoken("how many left")
    sound += np.random.default_rng(1).normal(0, 1e-3, len(sound)).astype(np.float32)

    clean = suppress(sound)

    spectrum = np.fft.rfft(sound, 65_536).conj() * np.fft.rfft(clean, 65_536)
    lag = int(np.argmax(np.fft.irfft(spectrum)))
    assert min(lag, 65_536 - lag) < 40


def _spoken(text: str) -> Frames:
    with Pyttsx3Synthesiser() as synthesiser:
        sound = synthesiser.speak(text, "en")
    return np.pad(resample(sound.frames, sound.rate_hz, 16_000), 4_800)
