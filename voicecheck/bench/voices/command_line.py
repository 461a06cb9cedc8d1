"""Voices that are programs: eSpeak NG, Flite and Festival (Debian packages)."""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile

from voicecheck.audio.frames import Frames
from voicecheck.bench.voices.ports import Family, Voice, to_clip

__all__ = ["Espeak", "Festival", "Flite"]

TIMEOUT_S = 60

ESPEAK_ACCENTS = (
    "en-us",
    "en-gb",
    "en-gb-scotland",
    "en-gb-x-rp",
    "en-029",
    "en-gb-x-gbclan",
)
ESPEAK_VARIANTS = (
    "", "m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8", "f1", "f2", "f3", "f4",
    "f5", "klatt", "klatt2", "klatt3", "klatt4", "klatt5", "Andy", "Annie",
    "Denis", "Hugo", "Jacky", "Lee", "Michael", "Mike", "Steph", "steph2",
    "steph3", "linda", "belinda", "rob", "robert", "anika", "adam", "john",
    "victor", "zac", "ed", "david", "iven", "marco", "paul", "travis",
)  # fmt: skip


def _run(command: list[str], text: str | None = None) -> bytes | None:
    """Run a program and give its output, None when it fails or hangs."""
    try:
        done = subprocess.run(  # noqa: S603 - fixed program, argument list
            command,
            input=None if text is None else text.encode(),
            capture_output=True,
            timeout=TIMEOUT_S,
            check=True,
        )
    except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
        return None
    return done.stdout


def _clip_from_wav(data: bytes | Path) -> Frames | None:
    try:
        samples, rate_hz = soundfile.read(
            io.BytesIO(data) if isinstance(data, bytes) else str(data),
            dtype="float32",
        )
    except soundfile.LibsndfileError:
        return None
    clip = to_clip(samples, rate_hz)
    return clip if clip.size else None


class Espeak:
    """eSpeak NG: formant voices; accent, variant, pitch and speed vary."""

    def __init__(self, count: int = 36, seed: int = 11) -> None:
        """Draw `count` combinations of accent, variant, speed and pitch."""
        self._count = count
        self._seed = seed
        self._arguments: dict[str, list[str]] = {}

    def voices(self) -> tuple[Voice, ...]:
        """List the drawn voices."""
        if shutil.which("espeak-ng") is None:
            return ()
        rng = np.random.default_rng(self._seed)
        found = []
        for index in range(self._count):
            accent = ESPEAK_ACCENTS[index % len(ESPEAK_ACCENTS)]
            variant = ESPEAK_VARIANTS[index % len(ESPEAK_VARIANTS)]
            speed, pitch = int(rng.integers(120, 200)), int(rng.integers(25, 75))
            spoken = f"{accent}+{variant}" if variant else accent
            voice = Voice(
                family=Family.ESPEAK,
                name=spoken,
                setting=f"s{speed}p{pitch}",
                licence="GPL-3.0 program, rule voice",
            )
            self._arguments[voice.key] = [
                "espeak-ng", "--stdout", "-v", spoken, "-s", str(speed),
                "-p", str(pitch),
            ]  # fmt: skip
            found.append(voice)
        return tuple(found)

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        data = _run([*self._arguments[voice.key], text])
        return None if data is None else _clip_from_wav(data)


class Flite:
    """Flite: one diphone voice, three voices of recorded units or models."""

    SPEAKERS = ("kal", "awb", "rms", "slt")
    SETTINGS = ((1.0, 0), (0.8, 1), (1.25, -1))
    """Duration stretch and which way the pitch mean goes."""
    PITCH_HZ = {"kal": 105, "awb": 130, "rms": 95, "slt": 170}  # noqa: RUF012

    def voices(self) -> tuple[Voice, ...]:
        """List speakers times settings."""
        if shutil.which("flite") is None:
            return ()
        return tuple(
            Voice(
                family=Family.FESTVOX,
                name=f"flite-{speaker}",
                setting=f"d{stretch}p{step}",
                licence="CMU, free to use and change (BSD-like)",
            )
            for speaker in self.SPEAKERS
            for stretch, step in self.SETTINGS
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        speaker = voice.name.removeprefix("flite-")
        stretch, step = voice.setting[1:].split("p")
        pitch_hz = self.PITCH_HZ[speaker] * (1 + 0.12 * int(step))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "a.wav"
            command = [
                "flite", "-voice", speaker, "--setf", f"duration_stretch={stretch}",
                "--setf", f"int_f0_target_mean={pitch_hz:.0f}", "-t", text,
                "-o", str(path),
            ]  # fmt: skip
            return None if _run(command) is None else _clip_from_wav(path)


class Festival:
    """Festival: two diphone voices and one statistical (HTS) voice."""

    SPEAKERS = {  # noqa: RUF012
        "kal": "voice_kal_diphone",
        "ked": "voice_ked_diphone",
        "slt-hts": "voice_cmu_us_slt_arctic_hts",
    }
    STRETCHES = (0.85, 1.1)

    def voices(self) -> tuple[Voice, ...]:
        """List the voices whose data is installed."""
        if shutil.which("festival") is None:
            return ()
        listed = _run(["festival", "--pipe"], "(print (voice.list))") or b""
        return tuple(
            Voice(
                family=Family.FESTVOX,
                name=f"festival-{speaker}",
                setting=f"d{stretch}",
                licence="festvox, free to use and change (BSD-like)",
            )
            for speaker, command in self.SPEAKERS.items()
            if command.removeprefix("voice_") in listed.decode()
            for stretch in self.STRETCHES
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        command = self.SPEAKERS[voice.name.removeprefix("festival-")]
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "a.wav"
            script = (
                f"({command})\n(Parameter.set 'Duration_Stretch {voice.setting[1:]})\n"
                f'(utt.save.wave (SynthText "{text}") "{path}" \'riff)\n'
            )
            _run(["festival", "--pipe"], script)
            return _clip_from_wav(path) if path.exists() else None
