"""Yard noise made by rule: seeded, any length, unit RMS.

Every generator takes a sample count and a `numpy.random.Generator` and gives
float32 mono at 16 kHz. The same seed gives the same sound. Most are coloured
by shaping white noise in the frequency domain, so the level holds at any
length.

The sounds imitate the kind of noise, not one machine: engine speeds, tone
frequencies and rates are drawn within ranges that are common practice in the
trade (no source), so that no trial meets the same machine twice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames

__all__ = ["NoiseKind", "noise", "shaped_noise", "unit_rms"]

Signal = NDArray[np.float64]

BABBLE_TALKERS = 6
"""How many talkers the babble is built from."""


class NoiseKind(Enum):
    """The kinds of noise that can be asked for."""

    QUIET = "quiet"
    """Faint room tone: soft broadband with a little mains hum."""
    PINK = "pink"
    """Power falling 3 dB per octave."""
    IDLE = "idle"
    """Diesel engine at idle."""
    ALARM = "alarm"
    """Reversing alarm over a soft engine background."""
    WIND = "wind"
    """Turbulence at the microphone, low and gusty."""
    CRUSHER = "crusher"
    """Impacts that ring, over a rumble."""
    BABBLE = "babble"
    """Six talkers at once."""
    HYDRAULIC = "hydraulic"
    """Whine of a hydraulic pump."""
    YARD = "yard"
    """Idle, a distant alarm and some wind: the demo's default."""


def noise(
    kind: NoiseKind,
    samples: int,
    rng: np.random.Generator,
    *,
    talkers: Sequence[Frames] = (),
) -> Frames:
    """Make noise of one kind.

    Args:
        kind: what to imitate.
        samples: length in samples at 16 kHz, at least 1.
        rng: the only source of chance; the same state gives the same sound.
        talkers: speech clips, float32 mono 16 kHz, for BABBLE alone. Six
            tracks are built by chaining clips at random. With none given the
            six are noise with the spectrum and the syllable rhythm of speech:
            it masks like talkers but holds no words.

    Returns:
        float32, shape (samples,), RMS 1.0 (so peaks pass 1.0: scale before
        writing to a file, see `mixing.guard_peak`).

    Raises:
        ValueError: samples is below 1.
    """
    if samples < 1:
        raise ValueError("ask for at least one sample of noise")
    if kind is NoiseKind.BABBLE:
        return unit_rms(_babble(samples, rng, talkers))
    return unit_rms(_MAKERS[kind](samples, rng))


def unit_rms(signal: NDArray[np.floating]) -> Frames:
    """Scale a signal to RMS 1.0; pure silence stays silence."""
    data = np.asarray(signal, dtype=np.float64)
    rms = float(np.sqrt(np.mean(data**2)))
    return (data / rms if rms > 0 else data).astype(np.float32)


def shaped_noise(
    samples: int,
    rng: np.random.Generator,
    gain: Callable[[Signal], Signal],
) -> Signal:
    """Return Gaussian noise whose amplitude spectrum follows a curve, RMS 1.0.

    Args:
        samples: length.
        rng: source of chance.
        gain: amplitude gain for an array of frequencies in Hz (0 Hz included).
    """
    padded = max(samples, RATE_HZ // 4)
    spectrum = np.fft.rfft(rng.standard_normal(padded))
    freqs_hz = np.asarray(np.fft.rfftfreq(padded, 1 / RATE_HZ), dtype=np.float64)
    weights = np.asarray(gain(freqs_hz), dtype=np.float64)
    weights[0] = 0.0
    shaped = np.fft.irfft(spectrum * weights, padded)[:samples]
    return _unit(np.asarray(shaped, dtype=np.float64))


def _unit(signal: NDArray[np.floating]) -> Signal:
    return np.asarray(unit_rms(signal), dtype=np.float64)


def _tones(levels: dict[int, float], phase: Signal, rng: np.random.Generator) -> Signal:
    """Sum harmonics (number: level) of one phase in cycles."""
    total = np.zeros(phase.size)
    for k, level in levels.items():
        total += level * np.sin(2 * np.pi * (k * phase + rng.uniform()))
    return total


def _power_law(slope_db_per_octave: float, floor_hz: float) -> Callable[..., Signal]:
    """Gain that falls by a slope above `floor_hz` and is flat below it."""
    exponent = slope_db_per_octave / 6.0206

    def gain(freqs_hz: Signal) -> Signal:
        return (np.maximum(freqs_hz, floor_hz) / floor_hz) ** exponent

    return gain


def _low_pass(corner_hz: float, order: float) -> Callable[[Signal], Signal]:
    def gain(freqs_hz: Signal) -> Signal:
        return 1 / np.sqrt(1 + (freqs_hz / corner_hz) ** (2 * order))

    return gain


def _band_pass(centre_hz: float, octaves: float) -> Callable[[Signal], Signal]:
    def gain(freqs_hz: Signal) -> Signal:
        distance = np.log2(np.maximum(freqs_hz, 1.0) / centre_hz)
        return np.exp(-0.5 * (distance / octaves) ** 2)

    return gain


def _slow_envelope(
    samples: int, rng: np.random.Generator, rate_hz: float, depth_db: float
) -> Signal:
    """A smooth random gain that wanders by `depth_db` (one deviation)."""
    knots = max(4, int(samples / RATE_HZ * rate_hz) + 4)
    start = rng.uniform(0, 1)
    position = start + np.arange(samples) / RATE_HZ * rate_hz
    walk_db = depth_db * rng.standard_normal(knots)
    wander_db = np.interp(position, np.arange(knots), walk_db)
    gains: Signal = 10 ** (wander_db / 20)
    return gains


def _quiet(samples: int, rng: np.random.Generator) -> Signal:
    hum_hz = float(rng.choice([50.0, 60.0]))
    time_s = np.arange(samples) / RATE_HZ
    hum = _tones({1: 1.0, 2: 1 / 2, 3: 1 / 3}, hum_hz * time_s, rng)
    return shaped_noise(samples, rng, _power_law(-4.0, 80.0)) + 0.15 * hum


def _pink(samples: int, rng: np.random.Generator) -> Signal:
    return shaped_noise(samples, rng, _power_law(-3.0103, 20.0))


def _jittered_phase(
    samples: int, rng: np.random.Generator, rate_hz: float, jitter: float
) -> Signal:
    """Phase (cycles) of a rotation whose speed hunts by `jitter` (relative)."""
    hunting = _slow_envelope(samples, rng, 4.0, 1.0)
    speed = rate_hz * (1 + jitter * np.log(hunting) * 8.0)
    phase: Signal = np.cumsum(speed) / RATE_HZ + rng.uniform()
    return phase


def _idle(samples: int, rng: np.random.Generator) -> Signal:
    """Firing harmonics of a four-stroke six, its broadband and its rumble.

    A six-cylinder four-stroke engine fires three times a turn: at 650 to
    900 turns a minute that is 32 to 45 Hz (arithmetic). Half orders come from
    unequal cylinders.
    """
    firing_hz = rng.uniform(32.0, 45.0)
    phase = _jittered_phase(samples, rng, firing_hz, 0.01)
    tones = np.zeros(samples)
    for half_order in range(1, 41):
        order = half_order / 2
        level = order**-0.9 * (1.0 if half_order % 2 == 0 else 0.35)
        level *= 10 ** (rng.normal(0, 3) / 20)
        tones += level * np.sin(2 * np.pi * (order * phase + rng.uniform()))
    combustion = 0.5 + 0.5 * np.cos(2 * np.pi * phase)
    clatter = shaped_noise(samples, rng, _band_pass(rng.uniform(900, 2200), 1.1))
    clatter = clatter * (0.35 + combustion**3)
    broadband = shaped_noise(samples, rng, _power_law(-4.0, 120.0))
    rumble = shaped_noise(samples, rng, _low_pass(70.0, 2))
    parts = (
        (1.0, tones),
        (rng.uniform(0.5, 0.9), broadband),
        (rng.uniform(0.25, 0.5), clatter),
        (0.5, rumble),
    )
    mixed = np.sum([gain * unit_rms(part) for gain, part in parts], axis=0)
    return np.asarray(mixed, dtype=np.float64)


def _alarm(samples: int, rng: np.random.Generator) -> Signal:
    """Tone bursts near 1.2 kHz, about one a second, over a soft background."""
    tone_hz = rng.uniform(1050.0, 1350.0)
    rate_hz = rng.uniform(0.85, 1.15)
    time_s = np.arange(samples) / RATE_HZ
    phase = tone_hz * time_s + rng.uniform()
    tone = _tones({1: 1.0, 2: 0.25, 3: 0.35, 5: 0.12}, phase, rng)
    cycle = (rate_hz * time_s + rng.uniform()) % 1.0
    ramp = 0.012 * rate_hz
    gate = np.clip(np.minimum(cycle, 0.5 - cycle) / ramp + 0.5, 0, 1)
    bursts = _unit(tone) * gate
    background = _unit(_idle(samples, rng))
    return bursts + rng.uniform(0.15, 0.3) * background


def _wind(samples: int, rng: np.random.Generator) -> Signal:
    """Pressure of turbulence: steep fall with frequency, gusts, buffets."""
    steep = shaped_noise(samples, rng, _low_pass(rng.uniform(40.0, 90.0), 1.3))
    hiss = shaped_noise(samples, rng, _power_law(-5.0, 150.0))
    gusts = _slow_envelope(samples, rng, 1.2, 3.0)
    buffets = _slow_envelope(samples, rng, 9.0, 3.0)
    return gusts * (steep * buffets + rng.uniform(0.15, 0.3) * hiss * gusts)


def _crusher(samples: int, rng: np.random.Generator) -> Signal:
    """Impacts at random times, each a few decaying modes, over a rumble."""
    hits = np.zeros(samples)
    rate_hz = rng.uniform(4.0, 9.0)
    count = max(1, int(rng.poisson(rate_hz * samples / RATE_HZ)))
    modes_hz = rng.uniform(180.0, 3200.0, size=7)
    ring = np.arange(int(0.35 * RATE_HZ)) / RATE_HZ
    for _ in range(count):
        start = int(rng.integers(0, samples))
        picked = rng.choice(modes_hz, size=4, replace=False)
        impact = np.zeros_like(ring)
        for mode_hz in picked * rng.uniform(0.95, 1.05):
            decay_s = rng.uniform(0.015, 0.09)
            impact += np.exp(-ring / decay_s) * np.sin(
                2 * np.pi * mode_hz * ring + rng.uniform(0, 6.28)
            )
        grit = rng.standard_normal(ring.size) * np.exp(-ring / 0.02)
        impact = (impact + 0.8 * grit) * 10 ** (rng.normal(0, 4) / 20)
        length = min(ring.size, samples - start)
        hits[start : start + length] += impact[:length]
    rumble = shaped_noise(samples, rng, _power_law(-4.5, 60.0))
    return _unit(hits) + 0.45 * rumble


def _hydraulic(samples: int, rng: np.random.Generator) -> Signal:
    """Piston pump: whine at pistons times shaft speed, with flow hiss.

    Nine pistons at 1,500 to 2,200 turns a minute give 225 to 330 Hz.
    """
    phase = _jittered_phase(samples, rng, rng.uniform(225.0, 330.0), 0.004)
    levels = {k: k**-0.6 * 10 ** (rng.normal(0, 4) / 20) for k in range(1, 13)}
    whine = _tones(levels, phase, rng)
    hiss = shaped_noise(samples, rng, _band_pass(rng.uniform(1500, 3000), 1.2))
    floor = shaped_noise(samples, rng, _power_law(-4.0, 100.0))
    tone = _unit(whine)
    load = _slow_envelope(samples, rng, 0.7, 2.0)
    return load * (tone + rng.uniform(0.3, 0.6) * hiss) + 0.5 * floor


def _talker_like(samples: int, rng: np.random.Generator) -> Signal:
    """Noise with a speech-like spectrum and a syllable rhythm, no words."""
    voice = shaped_noise(samples, rng, _power_law(-9.0, rng.uniform(350.0, 650.0)))
    syllables = _slow_envelope(samples, rng, rng.uniform(4.0, 9.0), 5.0)
    return voice * syllables


def _talker_track(
    samples: int, rng: np.random.Generator, talkers: Sequence[Frames]
) -> Signal:
    """Chain clips of speech, with short pauses, to one talker's track."""
    pieces: list[Signal] = []
    length = 0
    skip = int(rng.integers(0, RATE_HZ))
    while length < samples + skip:
        clip = unit_rms(talkers[int(rng.integers(0, len(talkers)))])
        pause = np.zeros(int(rng.uniform(0.0, 0.15) * RATE_HZ) + 1)
        pieces.extend((np.asarray(clip, dtype=np.float64), pause))
        length += clip.size + pause.size
    return np.concatenate(pieces)[skip : skip + samples]


def _babble(
    samples: int, rng: np.random.Generator, talkers: Sequence[Frames]
) -> Signal:
    total = np.zeros(samples)
    for _ in range(BABBLE_TALKERS):
        if talkers:
            track = _talker_track(samples, rng, talkers)
        else:
            track = _talker_like(samples, rng)
        total += unit_rms(track) * 10 ** (rng.normal(0, 1.5) / 20)
    return total


def _yard(samples: int, rng: np.random.Generator) -> Signal:
    parts = ((1.0, _idle), (0.35, _alarm), (0.4, _wind))
    mixed = np.sum([g * unit_rms(make(samples, rng)) for g, make in parts], axis=0)
    return np.asarray(mixed, dtype=np.float64)


_MAKERS: dict[NoiseKind, Callable[[int, np.random.Generator], Signal]] = {
    NoiseKind.QUIET: _quiet,
    NoiseKind.PINK: _pink,
    NoiseKind.IDLE: _idle,
    NoiseKind.ALARM: _alarm,
    NoiseKind.WIND: _wind,
    NoiseKind.CRUSHER: _crusher,
    NoiseKind.HYDRAULIC: _hydraulic,
    NoiseKind.YARD: _yard,
}
