"""The one door to PortAudio: loading it, starting it anew, and its errors.

`sounddevice` looks for the PortAudio library while it is imported, so it is
imported late: without PortAudio everything but live sound still works.
"""

from __future__ import annotations

import importlib
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TypeAlias

from voicecheck.errors import DeviceError

__all__ = [
    "PortAudio",
    "device_errors",
    "load_portaudio",
    "restart_portaudio",
]

PortAudio: TypeAlias = Any
"""The module `sounddevice`, or a double that looks like it."""

_log = logging.getLogger(__name__)

_INSTALL = (
    "live sound needs the PortAudio library, which is not here ({reason}). "
    "On Debian or Ubuntu: sudo apt-get install libportaudio2; on Fedora: "
    "sudo dnf install portaudio; on Windows and macOS: pip install --force-reinstall "
    "sounddevice. Walks can be typed without it: voicecheck form"
)

_LOOK = "run `voicecheck devices` to see what there is"

_REMEDIES = {
    -9999: "unplug it, plug it in again, and look at the system's sound settings",
    -9998: "choose another device: it has no channel count that can be used",
    -9997: "choose another device: it has no sampling rate that can be used",
    -9996: _LOOK,
    -9993: "choose a microphone and a loudspeaker of the same kind of driver",
    -9985: "it is unplugged or another program holds it: plug it in, close the "
    "other program, or choose another device",
}
"""What to do for an error code of PortAudio (portaudio.h, PaErrorCode)."""


def load_portaudio() -> PortAudio:
    """Return the module `sounddevice`.

    Raises:
        DeviceError: PortAudio or sounddevice is not installed, or does not
            start; the text says what to install.
    """
    try:
        return importlib.import_module("sounddevice")
    except (ImportError, OSError) as error:
        raise DeviceError(_INSTALL.format(reason=error)) from error


@contextmanager
def device_errors(
    portaudio: PortAudio, doing: str, kind: type[DeviceError] = DeviceError
) -> Iterator[None]:
    """Turn the library's errors into ours.

    Args:
        portaudio: the module whose errors are meant.
        doing: what failed, as the beginning of a sentence: "the microphone
            'X' cannot be opened".
        kind: the error that is raised instead.
    """
    try:
        yield
    except portaudio.PortAudioError as error:
        remedy = _REMEDIES.get(_code(error), _LOOK)
        raise kind(f"{doing} ({_reason(error)}): {remedy}") from error


def restart_portaudio(portaudio: PortAudio) -> None:
    """Make PortAudio look for devices again.

    It lists devices once, when it starts. This closes every stream of the
    process, and every device number may mean another device afterwards. The
    functions are private names of sounddevice; there are no public ones.

    Raises:
        DeviceError: PortAudio does not start again.
    """
    # Starts are counted: only the last end really ends it.
    while portaudio._initialized > 0:
        before = portaudio._initialized
        try:
            portaudio._terminate()
        except portaudio.PortAudioError as error:
            _log.warning("PortAudio did not end cleanly: %s", _reason(error))
        if portaudio._initialized == before:
            break
    with device_errors(portaudio, "PortAudio does not start again"):
        portaudio._initialize()


def _code(error: Exception) -> int:
    code = error.args[1] if len(error.args) > 1 else None
    return code if isinstance(code, int) else 0


def _reason(error: Exception) -> str:
    """The library's words; its own `str` may ask a PortAudio that is gone."""
    words = str(error.args[0]) if error.args else type(error).__name__
    host = error.args[2] if len(error.args) > 2 else None
    if isinstance(host, tuple) and len(host) == 3 and host[2]:
        return f"{words}: {host[2]}"
    return words
