# ruff: noqa: S603, S607 - fixed programs of the system, found on the user's path
"""Virtual sound devices for Linux: a private PulseAudio server with two sinks.

What is played into one sink is what the program's microphone hears; what the
program plays arrives in the other. Needs Debian's packages pulseaudio,
pulseaudio-utils, libasound2-plugins and libportaudio2. Nothing of the user's
own sound system is touched.

    with PulseServer() as server:
        talker = Talker(server.environment)
        program = subprocess.Popen(..., env=os.environ | server.environment)
        talker.say(frames, 16_000)

A process that has the server's environment can be a talker too: one that reads
the events of a walk and answers aloud.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import IO, Self

import numpy as np

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
PROGRAMS = ("pulseaudio", "pactl", "pacat", "parec")
"""What must be installed."""
PIPE_RATE_HZ = 16_000
"""Rate of what a talker says and a recorder takes down."""
PIPE_BYTES = 1 << 20
"""The most that Linux gives to anybody: thirty seconds of sound."""
PATIENCE_S = 15.0
BUFFER_S = 0.15
"""What a player holds ready, so that a busy computer does not make it stutter.
Of this about half is delay: a thing said is read some 0.15 s later (measured)."""
GAP_S = BUFFER_S + 0.05
"""Silence after each thing said, so that its end does not wait in the buffer."""

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
        self._socket.unlink(missing_ok=True)
        options = ["-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1"]
        options += ["--disable-shm=yes", "--realtime=no"]
        for module in (
            f"module-native-protocol-unix socket={self._socket} auth-anonymous=1",
            f"module-null-sink sink_name={MICROPHONE_SINK} rate=48000 channels=1",
            f"module-null-sink sink_name={SPEAKER_SINK} rate=48000 channels=1",
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
    """Speak into the virtual microphone, with little delay.

    One player stays open, so that nothing has to start when an answer is due.
    Several talkers are mixed: one may be the noise of the yard.

    Args:
        environment: of the server, or of a process started with it.
    """

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._environment = dict(environment)
        self._player: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def say(self, frames: Frames, rate_hz: float) -> None:
        """Hand a sound to the player and return; it is heard about 0.15 s later.

        Up to some thirty seconds fit without waiting. A player whose server
        was killed is started again.
        """
        sound = np.clip(resample(frames, rate_hz, PIPE_RATE_HZ), -1.0, 1.0)
        gap = np.zeros(round(GAP_S * PIPE_RATE_HZ))
        data = (np.concatenate([sound, gap]) * 32767).astype("<i2").tobytes()
        pipe = self._open()
        pipe.write(data)
        pipe.flush()

    def wait_gone(self) -> None:
        """Wait until the player has noticed that its server is gone."""
        if self._player is not None:
            self._player.wait(PATIENCE_S)

    def close(self) -> None:
        """Stop the player. What it has not played is lost."""
        if self._player is not None:
            _end(self._player)
            self._player = None

    def _open(self) -> IO[bytes]:
        if self._player is None or self._player.poll() is not None:
            self.close()
            self._player = subprocess.Popen(
                [
                    "pacat",
                    "--playback",
                    f"--device={MICROPHONE_SINK}",
                    f"--latency-msec={BUFFER_S * 1000:.0f}",
                    *_RAW,
                ],
                stdin=subprocess.PIPE,
                pipesize=PIPE_BYTES,
                env=os.environ | self._environment,
            )
        assert self._player.stdin is not None
        return self._player.stdin


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
                    *_RAW,
                ],
                stdin=subprocess.DEVNULL,
                stdout=file,
                env=os.environ | dict(environment),
            )
        _wait_until(self._runs, "nothing comes from the virtual loudspeaker")

    def stop(self) -> Frames:
        """Return what came, mono at `PIPE_RATE_HZ`."""
        _end(self._recorder)
        data = self._path.read_bytes()
        self._path.unlink()
        whole = len(data) // 2 * 2
        samples = np.frombuffer(data[:whole], "<i2").astype(np.float32)
        return np.asarray(samples / 32768, dtype=np.float32)

    def _runs(self) -> bool:
        if self._recorder.poll() is not None:
            raise DeviceError("parec ended at once: is the server running?")
        return self._path.stat().st_size > 0


_RAW = ("--raw", f"--rate={PIPE_RATE_HZ}", "--channels=1", "--format=s16le")


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    if process.stdin is not None:
        process.stdin.close()
    process.wait()


def _wait_until(true: Callable[[], bool], otherwise: str) -> None:
    deadline_s = time.monotonic() + PATIENCE_S
    while not true():
        if time.monotonic() > deadline_s:
            raise DeviceError(otherwise)
        time.sleep(0.02)
