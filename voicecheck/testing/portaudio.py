"""A PortAudio without a sound card: devices as data, blocks fed by hand.

Looks like the part of the module `sounddevice` that voicecheck uses. Nothing
runs by itself: a test feeds blocks to an input stream, and each look at an
output stream's `active` lets the device take one block.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["FakeInputStream", "FakeOutputStream", "FakePortAudio", "fake_device"]


def fake_device(
    name: str,
    *,
    inputs: int = 0,
    outputs: int = 0,
    rate_hz: float = 48_000.0,
    host_api: int = 0,
) -> dict[str, Any]:
    """Return a device as `sounddevice.query_devices` describes it."""
    return {
        "name": name,
        "hostapi": host_api,
        "max_input_channels": inputs,
        "max_output_channels": outputs,
        "default_samplerate": rate_hz,
    }


class PortAudioError(Exception):
    """Stands for the library's error of the same name."""


class _FakeStream:
    """What both directions share."""

    def __init__(self, owner: FakePortAudio, options: Mapping[str, Any]) -> None:
        self.options = dict(options)
        self.callback = options["callback"]
        self.latency = 0.05
        self.running = False
        self.closed = False
        self._owner = owner
        if options["device"] in owner.refusing:
            raise PortAudioError("Device unavailable", -9985)

    def start(self) -> None:
        if self.options["device"] in self._owner.not_starting:
            raise PortAudioError("Unanticipated host error", -9999, (0, 5, "no power"))
        self.running = True

    def abort(self) -> None:
        if self.closed:
            raise PortAudioError("Invalid stream pointer", -9988)
        self.running = False

    def close(self) -> None:
        if self.closed:
            raise PortAudioError("Invalid stream pointer", -9988)
        self.closed = True
        self.running = False

    @property
    def active(self) -> bool:
        if self.closed:
            raise PortAudioError("Invalid stream pointer", -9988)
        self._owner.looked()
        return self.running


class FakeInputStream(_FakeStream):
    """A microphone that gives what it is fed."""

    def start(self) -> None:
        super().start()
        self._owner.on_start(self)

    def feed(self, samples: NDArray[Any], *, overflow: bool = False) -> None:
        """Call back once with `samples`, shape (n,) or (n, channels)."""
        block = np.asarray(samples, dtype=np.float32)
        if block.ndim == 1:
            block = np.repeat(block[:, np.newaxis], self.options["channels"], axis=1)
        status = SimpleNamespace(input_overflow=overflow)
        self.callback(block, len(block), None, status)


class FakeOutputStream(_FakeStream):
    """A loudspeaker that keeps what it was given."""

    def __init__(self, owner: FakePortAudio, options: Mapping[str, Any]) -> None:
        super().__init__(owner, options)
        self.blocks: list[NDArray[np.float32]] = []

    @property
    def active(self) -> bool:
        """Whether it runs; each look lets it take one block."""
        alive = super().active
        if alive and not self._owner.stalled:
            self.pull()
        return alive

    def pull(self, *, underflow: bool = False) -> None:
        """Ask for one block."""
        count = self.options["blocksize"]
        block = np.full((count, self.options["channels"]), np.nan, dtype=np.float32)
        status = SimpleNamespace(output_underflow=underflow)
        self.callback(block, count, None, status)
        self.blocks.append(block)

    @property
    def heard(self) -> NDArray[np.float32]:
        """All that came out of the first channel, shape (n,)."""
        return np.concatenate([block[:, 0] for block in self.blocks])


@dataclass
class FakePortAudio:
    """The module, with knobs for everything that goes wrong."""

    devices: list[dict[str, Any]]
    default_input: int = 0
    default_output: int = 0
    host_apis: tuple[str, ...] = ("ALSA",)
    refusing: set[int] = field(default_factory=set)
    """Numbers of devices that cannot be opened."""
    not_starting: set[int] = field(default_factory=set)
    """Numbers of devices that open and do not start."""
    accepts: Callable[[dict[str, Any]], bool] = lambda _: True
    """Which forms `check_*_settings` accepts."""
    looked: Callable[[], None] = lambda: None
    """Runs at each look at a stream: move a clock here, or feed a block."""
    stalled: bool = False
    """True: output streams run and ask for nothing."""
    replugged: list[dict[str, Any]] | None = None
    """The devices that are found at the next start."""
    broken_start: bool = False
    on_start: Callable[[FakeInputStream], None] = lambda _: None
    """Runs when a microphone was started."""
    inputs: list[FakeInputStream] = field(default_factory=list)
    outputs: list[FakeOutputStream] = field(default_factory=list)
    starts: int = 1
    _initialized: int = 1

    PortAudioError = PortAudioError

    def unplug(self) -> None:
        """End every stream, and let none be opened until `plug`."""
        for stream in (*self.inputs, *self.outputs):
            stream.running = False
        self.refusing = set(range(len(self.devices)))

    def plug(self) -> None:
        """Let every device be opened again."""
        self.refusing = set()

    @property
    def default(self) -> SimpleNamespace:
        return SimpleNamespace(device=[self.default_input, self.default_output])

    def query_devices(self) -> Iterable[dict[str, Any]]:
        if self._initialized < 1:
            raise PortAudioError("PortAudio not initialized", -10000)
        return self.devices

    def query_hostapis(self) -> tuple[dict[str, Any], ...]:
        if self._initialized < 1:
            raise PortAudioError("PortAudio not initialized", -10000)
        return tuple({"name": name} for name in self.host_apis)

    def check_input_settings(self, **form: Any) -> None:
        if not self.accepts(form):
            raise PortAudioError("Invalid sample rate", -9997)

    check_output_settings = check_input_settings

    def InputStream(self, **options: Any) -> FakeInputStream:  # noqa: N802 - theirs
        stream = FakeInputStream(self, options)
        self.inputs.append(stream)
        return stream

    def OutputStream(self, **options: Any) -> FakeOutputStream:  # noqa: N802 - theirs
        stream = FakeOutputStream(self, options)
        self.outputs.append(stream)
        return stream

    def _terminate(self) -> None:
        if self._initialized < 1:
            raise PortAudioError("PortAudio not initialized", -10000)
        self._initialized -= 1
        for stream in (*self.inputs, *self.outputs):
            stream.closed = True

    def _initialize(self) -> None:
        if self.broken_start:
            raise PortAudioError("Error initializing PortAudio", -9999)
        self._initialized += 1
        self.starts += 1
        if self.replugged is not None:
            self.devices = self.replugged
