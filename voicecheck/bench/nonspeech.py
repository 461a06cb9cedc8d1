"""Sounds of a yard that are no speech: coughs, breaths and bangs, made by rule.

They imitate the kind of sound, not one recording. A cough is described in three
parts: a burst, a noisy middle and often a voiced end (Morice et al. 2007, ERS
guidelines on the assessment of cough; from memory). Lengths and bands are drawn
within wide ranges that are ours, no source.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import shaped_noise

__all__ = ["bang", "breath", "cough"]

Signal = NDArray[np.float64]


def cough(rng: np.random.Generator) -> Frames:
    """One or two coughs, peak 0.5, 0.25 to 1.2 s."""
    parts = [_one_cough(rng)]
    if rng.uniform() < 0.4:
        parts += [np.zeros(_samples(rng, 0.05, 0.2)), 0.7 * _one_cough(rng)]
    return _levelled(np.concatenate(parts))


def breath(rng: np.random.Generator) -> Frames:
    """A breath onto the microphone or a sigh, peak 0.5, 0.3 to 0.9 s."""
    count = _samples(rng, 0.3, 0.9)
    sound = _band(count, rng, rng.uniform(400, 1600), rng.uniform(0.8, 1.6))
    return _levelled(sound * np.sin(np.pi * np.linspace(0, 1, count)) ** 1.5)


def bang(rng: np.random.Generator) -> Frames:
    """Metal on metal, a door, a dropped tool: one to three strokes, peak 0.5."""
    count = _samples(rng, 0.2, 0.6)
    time_s = np.arange(count) / RATE_HZ
    sound = np.zeros(count)
    for stroke in range(int(rng.integers(1, 4))):
        begins = int(rng.uniform(0, 0.6) * count) if stroke else 0
        left = count - begins
        for _ in range(5):
            hz, decay_s = rng.uniform(150, 4500), rng.uniform(0.01, 0.12)
            tone = np.sin(2 * np.pi * (hz * time_s[:left] + rng.uniform()))
            sound[begins:] += tone * np.exp(-time_s[:left] / decay_s)
        click = rng.standard_normal(left) * np.exp(-time_s[:left] / 0.008)
        sound[begins:] += 1.5 * click
    return _levelled(sound)


def _one_cough(rng: np.random.Generator) -> Signal:
    burst = _band(_samples(rng, 0.03, 0.08), rng, rng.uniform(700, 2200), 1.5)
    burst = burst * np.exp(-np.linspace(0, 2.5, burst.size))
    middle = 0.35 * _band(_samples(rng, 0.1, 0.25), rng, rng.uniform(600, 1800), 1.2)
    parts = [burst, middle * np.linspace(1, 0.4, middle.size)]
    if rng.uniform() < 0.6:
        parts.append(0.4 * _voiced_end(rng))
    return np.concatenate(parts)


def _voiced_end(rng: np.random.Generator) -> Signal:
    count = _samples(rng, 0.06, 0.2)
    hz = np.linspace(1.0, rng.uniform(0.6, 0.9), count) * rng.uniform(110, 320)
    phase = np.cumsum(hz) / RATE_HZ
    tones = [np.sin(2 * np.pi * k * phase) / k for k in range(1, 13)]
    return np.asarray(np.sum(tones, axis=0) * np.linspace(1, 0, count))


def _band(
    samples: int, rng: np.random.Generator, centre_hz: float, octaves: float
) -> Signal:
    def gain(freqs_hz: Signal) -> Signal:
        apart = np.log2(np.maximum(freqs_hz, 20.0) / centre_hz) / octaves
        shape: Signal = np.exp(-0.5 * apart**2)
        return shape

    return shaped_noise(samples, rng, gain)


def _samples(rng: np.random.Generator, least_s: float, most_s: float) -> int:
    return int(rng.uniform(least_s, most_s) * RATE_HZ)


def _levelled(sound: Signal) -> Frames:
    fade = np.minimum(1.0, np.arange(sound.size)[::-1] / 80)
    faded = sound * fade
    return np.asarray(faded * (0.5 / np.abs(faded).max()), dtype=np.float32)
