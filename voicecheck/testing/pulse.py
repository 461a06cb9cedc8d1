# ruff: noqa: S603, S607 - fixed programs of the system, found on the user's path
"""Virtual sound devices for Linux: a private PulseAudio server with two sinks.

What is played into one sink is what the program's microphone hears; what the
program plays arrives in the other. Needs Debian's packages pulseaudio,
pulseaudio-utils, libasound2-plugins and libportaudio2. Nothing of the user's
own sound system is touched.

    with PulseServer() as server, Talker(server.environment) as talker:
        program = subprocess.Popen(..., env=os.environ | server.environment)
        talker.say(frames, 16_000)

A process that has the server's environment can be a talker too: one that reads
the events of a walk and answers aloud.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Self

import numpy as np

from voicecheck.audio.files import write_wav
from voicecheck.audio.frames import Frames
from voicecheck.audio.resample import resample
from voicecheck.errors import DeviceError

__all__ = [
    "HEADSET",
    "MICROPHONE_SINK",
    "PROGRAMS",
    "SPEAKER_SINK",
    "PulseServer",
    "SpeakerRecorder",
    "Talker",
]

MICROPHONE_SINK = "vc_mic"
SPEAKER_SINK = "vc_speaker"
HEADSET = "yard headset"
"""Name of a second device that leads to the same two sinks."""
PROGRAMS = ("pulseaudio", "pactl", "parec")
"""What must be installed."""
RECORDED_RATE_HZ = 16_000
"""Rate of what a recorder takes down."""
SERVER_RATE_HZ = 48_000
"""Rate of the two sinks."""
ORDERS = "orders"
"""Name of the server's socket for orders in words."""
TAIL_S = 0.3
"""How much is recorded after `stop` was called."""
PATIENCE_S = 15.0

_ALSA = f"""</usr/share/alsa/alsa.conf>
pcm.!default {{ type pulse hint {{ show on description "virtual" }} }}
ctl.!default {{ type pulse }}
pcm."{HEADSET}" {{ type pulse hint {{ show on description "virtual" }} }}
"""
_CLIENT = "autospawn = no\nenable-shm = no\n"


class PulseServer:
    """A PulseAudio server of its own, with a microphone and a loudspeaker.

    Raises:
        DeviceError: a program is not installed, or the server does not start.
    """

    def __init__(self) -> None:
        missing = [name for name in PROGRAMS if shutil.which(name) is None]
        if missing:
            raise DeviceError(
                f"virtual sound devices need {', '.join(missing)}: sudo apt-get "
                "install pulseaudio pulseaudio-utils libasound2-plugins libportaudio2"
            )
        # A socket's path may have no more than about a hundred characters.
        self._folder = Path(tempfile.mkdtemp(prefix="vc-pulse-"))
        (self._folder / "alsa.conf").write_text(_ALSA)
        (self._folder / "client.conf").write_text(_CLIENT)
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def environment(self) -> dict[str, str]:
        """Variables that lead a program to these devices."""
        return {
            "ALSA_CONFIG_PATH": str(self._folder / "alsa.conf"),
            "PULSE_CLIENTCONFIG": str(self._folder / "client.conf"),
            "PULSE_COOKIE": str(self._folder / "cookie"),
            "PULSE_RUNTIME_PATH": str(self._folder),
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_SINK": SPEAKER_SINK,
            "PULSE_SOURCE": f"{MICROPHONE_SINK}.monitor",
        }

    @property
    def running(self) -> bool:
        """Whether the server lives."""
        return self._process is not None and self._process.poll() is None

    def start(self) -> None:
        """Start the server and wait until it answers: plug the headset in."""
        for left in (self._socket, self._folder / ORDERS):
            left.unlink(missing_ok=True)
        # With rewinds the sinks take two seconds to start and swallow the
        # beginning of what they are given; without, every sample arrives.
        sink = f"rate={SERVER_RATE_HZ} channels=1 norewinds=1"
        options = ["-n", "--daemonize=no", "--use-pid-file=no"]
        # A test run that was killed cannot end its server.
        options += ["--exit-idle-time=900", "--disable-shm=yes", "--realtime=no"]
        for module in (
            f"module-native-protocol-unix socket={self._socket} auth-anonymous=1",
            f"module-cli-protocol-unix socket={self._folder / ORDERS}",
            f"module-null-sink sink_name={MICROPHONE_SINK} {sink}",
            f"module-null-sink sink_name={SPEAKER_SINK} {sink}",
        ):
            options += ["-L", module]
        own = {"HOME": str(self._folder), "XDG_RUNTIME_DIR": str(self._folder)}
        with (self._folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                ["pulseaudio", *options],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                env=os.environ | self.environment | own,
            )
        _wait_until(self._answers, f"PulseAudio does not start:\n{self.log()}")

    def kill(self) -> None:
        """End the server at once: pull the plug."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def close(self) -> None:
        """End the server and remove its files."""
        self.kill()
        shutil.rmtree(self._folder, ignore_errors=True)

    def log(self) -> str:
        """What the server has said so far."""
        path = self._folder / "log"
        return path.read_text(errors="replace") if path.exists() else ""

    @property
    def _socket(self) -> Path:
        return self._folder / "native"

    def _answers(self) -> bool:
        if not self.running:
            raise DeviceError(f"PulseAudio ended at once:\n{self.log()}")
        asked = subprocess.run(
            ["pactl", "list", "short", "sources"],
            env=os.environ | self.environment,
            capture_output=True,
            check=False,
        )
        return f"{SPEAKER_SINK}.monitor".encode() in asked.stdout


class Talker:
    """Speak into the virtual microphone.

    The server itself plays the sound, from a file: nothing has to start when
    an answer is due, and a busy computer does not make it stutter. Sounds said
    at the same time are mixed, so one may be the noise of the yard; wait for
    the end of one before the next when they should follow each other.

    Args:
        environment: of the server, or of a process started with it.
    """

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._folder = Path(environment["PULSE_RUNTIME_PATH"])
        self._said: list[Path] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Remove the files of what was said. What still sounds goes on."""
        while self._said:
            self._said.pop().unlink(missing_ok=True)

    def say(self, frames: Frames, rate_hz: float) -> float:
        """Begin to say a sound and return how many seconds it takes.

        It can be read about 0.1 s later.

        Raises:
            DeviceError: the server does not run.
        """
        sound = resample(frames, rate_hz, SERVER_RATE_HZ)
        path = self._write(sound)
        order = f"play-file {path} {MICROPHONE_SINK}\n"
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
            line.settimeout(PATIENCE_S)
            try:
                line.connect(str(self._folder / ORDERS))
                line.sendall(order.encode())
                line.shutdown(socket.SHUT_WR)
                answer = b"".join(iter(lambda: line.recv(4096), b""))
            except OSError as error:
                raise DeviceError("the virtual microphone is unplugged") from error
        if answer.strip():
            raise DeviceError(f"PulseAudio does not play: {answer.decode().strip()}")
        return len(sound) / SERVER_RATE_HZ

    def _write(self, frames: Frames) -> Path:
        handle, name = tempfile.mkstemp(suffix=".wav", dir=self._folder)
        os.close(handle)
        path = Path(name)
        self._said.append(path)
        write_wav(path, frames, SERVER_RATE_HZ)
        return path


class SpeakerRecorder:
    """Take down what the program plays, from now until `stop`."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        with tempfile.NamedTemporaryFile(prefix="vc-heard-", delete=False) as file:
            self._path = Path(file.name)
            self._recorder = subprocess.Popen(
                [
                    "parec",
                    f"--device={SPEAKER_SINK}.monitor",
                    "--latency-msec=20",
                    "--raw",
                    f"--rate={RECORDED_RATE_HZ}",
                    "--channels=1",
                    "--format=s16le",
                ],
                stdin=subprocess.DEVNULL,
                stdout=file,
                env=os.environ | dict(environment),
            )
        _wait_until(self._runs, "nothing comes from the virtual loudspeaker")

    def stop(self) -> Frames:
        """Return what came, mono at `RECORDED_RATE_HZ`.

        What is on its way through the server is waited for.
        """
        enough = self._path.stat().st_size + round(TAIL_S * RECORDED_RATE_HZ) * 2
        _wait_until(
            lambda: self._path.stat().st_size >= enough,
            "the virtual loudspeaker went silent: is the server running?",
        )
        self._recorder.terminate()
        self._recorder.wait()
        data = self._path.read_bytes()
        self._path.unlink()
        whole = len(data) // 2 * 2
        samples = np.frombuffer(data[:whole], "<i2").astype(np.float32)
        return np.asarray(samples / 32768, dtype=np.float32)

    def _runs(self) -> bool:
        if self._recorder.poll() is not None:
            raise DeviceError("parec ended at once: is the server running?")
        return self._path.stat().st_size > 0


def _wait_until(true: Callable[[], bool], otherwise: str) -> None:
    deadline_s = time.monotonic() + PATIENCE_S
    while not true():
        if time.monotonic() > deadline_s:
            raise DeviceError(otherwise)
        time.sleep(0.02)
