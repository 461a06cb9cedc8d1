"""Loading PortAudio, starting it anew, and its errors."""

from __future__ import annotations

import ast
import builtins
import importlib.util
import sys
from pathlib import Path

import pytest

from voicecheck.audio.portaudio import (
    device_errors,
    load_portaudio,
    restart_portaudio,
)
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.portaudio import FakePortAudio, PortAudioError, fake_device

_BUILTIN_ERRORS = {
    name
    for name, thing in vars(builtins).items()
    if isinstance(thing, type) and issubclass(thing, BaseException)
}


@pytest.mark.parametrize(
    "source",
    ["raise OSError('PortAudio library not found')", "raise ImportError('no cffi')"],
    ids=["no library", "no package"],
)
def test_a_missing_library_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, source: str
) -> None:
    """Without PortAudio the error names the package and the typed way out."""
    (tmp_path / "sounddevice.py").write_text(source)
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)

    with pytest.raises(DeviceError, match="apt-get install libportaudio2") as caught:
        load_portaudio()
    assert "voicecheck form" in str(caught.value)


def test_a_library_that_is_there_is_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is called sounddevice is what comes back."""
    (tmp_path / "sounddevice.py").write_text("here = True")
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)

    assert load_portaudio().here
    sys.modules.pop("sounddevice")


def test_every_error_of_the_library_is_translated() -> None:
    """All errors that sounddevice defines come under the one that is caught.

    Read from its source, as it cannot be imported without PortAudio. Two more
    classes are no errors: callbacks raise them to end a stream; ours never do.
    """
    spec = importlib.util.find_spec("sounddevice")
    assert spec is not None
    assert spec.origin is not None
    tree = ast.parse(Path(spec.origin).read_text(encoding="utf-8"))
    bases = {
        node.name: {base.id for base in node.bases if isinstance(base, ast.Name)}
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef)
    }
    errors = {name for name, parents in bases.items() if parents & _BUILTIN_ERRORS}

    assert errors == {"PortAudioError", "CallbackStop", "CallbackAbort"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("Device unavailable", -9985), "another program holds it"),
        (("Invalid sample rate", -9997), "no sampling rate"),
        (("Invalid channel count", -9998), "no channel count"),
        (("Unanticipated host error", -9999, (0, 5, "I/O error")), "I/O error"),
        (("Something new", -1), "voicecheck devices"),
        (("Error querying device -1",), "voicecheck devices"),
        ((), "voicecheck devices"),
    ],
)
def test_an_error_says_what_failed_and_what_to_do(
    arguments: tuple[object, ...], words: str
) -> None:
    """What was done, the library's reason and a remedy are in one sentence."""
    module = FakePortAudio([])
    doing = "the microphone 'X' cannot be opened"

    with (
        pytest.raises(DeviceLost, match=words) as caught,
        device_errors(module, doing, DeviceLost),
    ):
        raise PortAudioError(*arguments)
    assert str(caught.value).startswith(doing)
    assert isinstance(caught.value.__cause__, PortAudioError)


def test_errors_of_others_pass_untouched() -> None:
    """A mistake in the program is not dressed up as a device fault."""
    with pytest.raises(ZeroDivisionError), device_errors(FakePortAudio([]), "it"):
        raise ZeroDivisionError


@pytest.mark.parametrize("count", [0, 1, 3])
def test_a_restart_ends_every_start_and_begins_once(count: int) -> None:
    """However often it was started, it looks for devices again, once."""
    headset = fake_device("headset", inputs=1)
    module = FakePortAudio([], replugged=[headset], _initialized=count)

    restart_portaudio(module)

    assert module._initialized == 1
    assert list(module.query_devices()) == [headset]


def test_a_start_that_fails_can_be_tried_again() -> None:
    """After a failed start the next one works."""
    module = FakePortAudio([], broken_start=True)
    with pytest.raises(DeviceError, match="does not start again"):
        restart_portaudio(module)

    module.broken_start = False
    restart_portaudio(module)
    assert module._initialized == 1
