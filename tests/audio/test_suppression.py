"""Noise suppression by RNNoise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio import suppression
from voicecheck.audio.frames import Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.resample import resample
from voicecheck.audio.rnnoise import Denoiser
from voicecheck.audio.suppression import RunningSuppressor, available, suppress
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


def _in_blocks(sound: Frames, block: int) -> RunningSuppressor:
    running = RunningSuppressor()
    for at in range(0, len(sound), block):
        running.push(sound[at : at + block])
    return running


@settings(max_examples=5, deadline=None)
@given(
    block=st.integers(100, 1_500),
    length=st.integers(2_000, 6_000),
    kept=st.integers(1, 2_000),
)
def test_denoising_while_sound_comes_in_changes_no_sample(
    block: int, length: int, kept: int
) -> None:
    """Block by block, and cut anywhere near its end, equals the whole at once."""
    rng = np.random.default_rng(length)
    sound = noise(NoiseKind.PINK, length, rng) * np.float32(0.05)
    sound[length // 3 : length // 2] *= 8
    begun = sound[: max(1, length - kept)]
    expected = suppress(begun)

    clean = _in_blocks(sound, block).denoised(begun)

    np.testing.assert_allclose(clean, expected, atol=1 / 32_768)


def test_going_on_after_a_look_changes_nothing() -> None:
    """What is denoised early leaves the state of the rest as it was."""
    sound = _spoken("not fitted")
    running = RunningSuppressor()
    for at in range(0, len(sound), 512):
        running.push(sound[at : at + 512])
        if at % 8_192 == 0:
            running.denoised(sound[: at + 512])

    np.testing.assert_allclose(
        running.denoised(sound), suppress(sound.copy()), atol=1 / 32_768
    )


def test_a_sound_that_was_not_pushed_is_denoised_all_the_same() -> None:
    """An utterance that began elsewhere is not taken for the one that ran."""
    first, second = _spoken("good"), _spoken("defect")

    clean = _in_blocks(first, 512).denoised(second)

    np.testing.assert_array_equal(clean, suppress(second))


def test_only_the_rest_is_left_for_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of one second of sound, at most 80 ms are denoised when it ends, then none."""
    sound = noise(NoiseKind.PINK, 16_000, np.random.default_rng(3)) * np.float32(0.05)
    running = _in_blocks(sound, 512)
    frames: list[int] = []
    process = Denoiser.process

    def counted(self: Denoiser, frame: suppression.Pcm) -> suppression.Pcm:
        frames.append(len(frame))
        return process(self, frame)

    monkeypatch.setattr(Denoiser, "process", counted)
    running.denoised(sound)
    left = len(frames)
    suppress(sound)

    assert 0 < left <= 8
    assert len(frames) == left


def _spoken(text: str) -> Frames:
    with Pyttsx3Synthesiser() as synthesiser:
        sound = synthesiser.speak(text, "en")
    return np.pad(resample(sound.frames, sound.rate_hz, 16_000), 4_800)
