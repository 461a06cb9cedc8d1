"""Record a microphone at its own rate, for measuring noise.

Everything else in the program listens at 16 kHz; the 8 kHz octave of a noise
reaches up to 11 kHz.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.device_list import Device, Direction, choose_device, list_devices
from voicecheck.audio.device_stream import DeviceStream
from voicecheck.audio.frames import Frames
from voicecheck.audio.inbox import Captured, Inbox
from voicecheck.audio.microphone import LATENCY_S, POLL_S
from voicecheck.audio.portaudio import PortAudio
from voicecheck.audio.stream_format import BLOCK_S
from voicecheck.clock import Clock
from voicecheck.errors import DeviceError

__all__ = ["LONGEST_S", "SHORTEST_S", "Recording", "record_noise"]

SHORTEST_S, LONGEST_S = 1.0, 120.0
"""Shorter says little of a noise that swells; longer tries patience."""

SKIPPED_S = 0.3
"""Sound thrown away at the start: devices fade in or click when opened."""


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """What a microphone heard."""

    frames: Frames
    """Mono, shape (n,)."""
    rate_hz: int
    device: str
    lost: int
    """How often sound was lost; a level measured then may be too low."""


def record_noise(
    portaudio: PortAudio,
    clock: Clock,
    seconds: float,
    *,
    wanted: str | int | None = None,
    before_recording: Callable[[Device], None] = lambda _: None,
    poll_s: float = POLL_S,
) -> Recording:
    """Listen to a microphone for some seconds.

    Args:
        portaudio: the module `sounddevice` or a double.
        clock: the real time.
        seconds: 1 to 120.
        wanted: number or part of the name of the microphone.
        before_recording: called when the microphone is open.
        poll_s: how often it is looked whether the microphone still lives.

    Raises:
        DeviceError: the time is out of bounds, there is no such microphone, or
            it cannot be opened.
        DeviceLost: it went away while it was listened to.
    """
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise DeviceError(
            f"a recording of {seconds:g} s is of no use: give {SHORTEST_S:g} to "
            f"{LONGEST_S:g} seconds"
        )
    device = choose_device(list_devices(portaudio), wanted, Direction.INPUT)
    inbox = Inbox(round((LONGEST_S + SKIPPED_S) / BLOCK_S))

    def called(samples: NDArray[np.float32], *rest: PortAudio) -> None:
        # in the sound thread: copy, nothing else
        overflow = bool(rest[-1].input_overflow)
        inbox.put(Captured(samples.copy(), overflow, clock.monotonic_s()))

    stream = DeviceStream(
        portaudio,
        device,
        Direction.INPUT,
        clock,
        latency_s=LATENCY_S,
        callback=called,
    )
    try:
        before_recording(device)
        rate_hz = stream.form.rate_hz
        skipped = round(SKIPPED_S * rate_hz)
        wanted_samples = skipped + round(seconds * rate_hz)
        blocks = _collect(stream, inbox, wanted_samples, clock, poll_s)
    finally:
        stream.close()
    frames = np.concatenate([block.samples.mean(axis=1) for block in blocks])
    return Recording(
        frames=frames[skipped:wanted_samples].astype(np.float32),
        rate_hz=rate_hz,
        device=device.name,
        lost=sum(block.overflow for block in blocks) + inbox.dropped + stream.restarts,
    )


def _collect(
    stream: DeviceStream, inbox: Inbox, samples: int, clock: Clock, poll_s: float
) -> list[Captured]:
    blocks: list[Captured] = []
    count = 0
    waiting_since_s = clock.monotonic_s()
    while count < samples:
        block = inbox.take(poll_s)
        if block is None:
            stream.check(waiting_since_s)
            continue
        waiting_since_s = clock.monotonic_s()
        blocks.append(block)
        count += len(block.samples)
    return blocks
