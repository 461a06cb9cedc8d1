"""Short synthetic room responses: a direct sound and a decaying tail."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames

__all__ = ["reverberate", "room_response"]


def room_response(rng: np.random.Generator, *, length_s: float = 0.5) -> Frames:
    """Draw a response: direct sound, one early echo, exponential noise tail.

    The decay time (60 dB) is drawn between 0.08 s (open yard, nearby machine)
    and 0.7 s (workshop hall), the tail's energy between -25 and -3 dB of the
    direct sound. Polack's model of a diffuse tail: Gaussian noise under an
    exponential envelope.

    Returns:
        float32, shape (length_s * 16000,), unit energy; the direct sound is
        the first sample.
    """
    count = int(length_s * RATE_HZ)
    decay_s = rng.uniform(0.08, 0.7)
    time_s = np.arange(count) / RATE_HZ
    tail = rng.standard_normal(count) * 10 ** (-3 * time_s / decay_s)
    tail[: int(rng.uniform(0.001, 0.008) * RATE_HZ)] = 0
    tail *= 10 ** (rng.uniform(-25, -3) / 20) / np.sqrt(np.sum(tail**2) + 1e-12)
    tail[0] = 1.0
    echo = int(rng.uniform(0.002, 0.02) * RATE_HZ)
    tail[echo] += rng.uniform(-0.4, 0.4)
    return np.asarray(tail / np.sqrt(np.sum(tail**2)), dtype=np.float32)


def reverberate(frames: Frames, response: Frames) -> Frames:
    """Return the sound in the room, cut to its own length plus 0.2 s."""
    size = frames.size + response.size - 1
    points = 1 << (size - 1).bit_length()
    spectrum = np.fft.rfft(frames, points) * np.fft.rfft(response, points)
    whole = np.fft.irfft(spectrum, points)[: frames.size + RATE_HZ // 5]
    return whole.astype(np.float32)
