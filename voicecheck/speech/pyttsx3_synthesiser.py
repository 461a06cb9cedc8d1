"""Speak by pyttsx3: bundled espeak-ng on Linux, the system's voices elsewhere."""

from __future__ import annotations

import hashlib
import json
import queue
import subprocess
import sys
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from voicecheck import __version__
from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import Sound
from voicecheck.errors import SynthesisError

_LEVEL_RMS = 0.12
"""Every prompt is brought to this level over its voiced parts."""
_PEAK = 0.89


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """Which voice, how fast, how high."""

    name: str
    """For example "en-us", or "en-us+f3" with a variant of espeak-ng."""
    words_a_minute: int = 165
    pitch: int = 50
    """0 … 99; espeak-ng only."""


PROMPT_VOICES = {
    "en": Voice(name="en-us", words_a_minute=165),
    "ko": Voice(name="ko", words_a_minute=165),
}


class Pyttsx3Synthesiser:
    """Speak texts, and keep what was spoken.

    Args:
        folder: where spoken texts are cached; None: nothing is kept on disk.
        voices: voice of each language; None: the usual ones.
        timeout_s: how long the engine may take for one text.
    """

    def __init__(
        self,
        folder: Path | None = None,
        voices: dict[str, Voice] | None = None,
        timeout_s: float = 20.0,
    ) -> None:
        self._folder = folder
        self._voices = voices or PROMPT_VOICES
        self._timeout_s = timeout_s
        self._process: subprocess.Popen[str] | None = None
        self._answers: queue.Queue[str] = queue.Queue()
        self._memory: dict[str, Sound] = {}

    def speak(self, text: str, language: str) -> Sound:
        """Return the spoken text, levelled.

        Raises:
            SynthesisError: the text is empty, there is no voice for the
                language, or the engine fails twice.
        """
        if language not in self._voices:
            raise SynthesisError(f"no voice for the language {language!r}")
        return self.speak_as(text, self._voices[language])

    def speak_as(self, text: str, voice: Voice) -> Sound:
        """Return the text spoken by one voice."""
        text = " ".join(text.split())
        if not text:
            raise SynthesisError("there is no text to speak")
        key = _key(text, voice)
        if key not in self._memory:
            self._memory[key] = self._cached(key) or self._render(key, text, voice)
        return self._memory[key]

    def close(self) -> None:
        """End the engine's process."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                stream.close()

    def __enter__(self) -> Pyttsx3Synthesiser:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _cached(self, key: str) -> Sound | None:
        if self._folder is None:
            return None
        path = self._folder / f"{key}.wav"
        if not path.is_file():
            return None
        try:
            return _read(path)
        except SynthesisError:
            return None  # a damaged cache file is rendered again

    def _render(self, key: str, text: str, voice: Voice) -> Sound:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "spoken.wav"
            self._order(text, voice, path)
            sound = _levelled(_read(path))
        if self._folder is not None:
            self._folder.mkdir(parents=True, exist_ok=True)
            target = self._folder / f"{key}.wav"
            partial = target.with_suffix(".part")
            soundfile.write(partial, sound.frames, sound.rate_hz, format="WAV")
            partial.replace(target)
        return sound

    def _order(self, text: str, voice: Voice, path: Path) -> None:
        order = {
            "text": text,
            "voice": voice.name,
            "rate": voice.words_a_minute,
            "pitch": voice.pitch,
            "path": str(path),
        }
        problem = ""
        for _ in range(2):  # an engine that hangs is started once more
            problem = self._try(json.dumps(order))
            if not problem:
                return
            self.close()
        raise SynthesisError(f"the text could not be spoken: {problem}")

    def _try(self, order: str) -> str:
        """Give one order; return what went wrong, or nothing."""
        try:
            process = self._running()
            if process.stdin is None:
                return "no way to reach the speech process"
            process.stdin.write(order + "\n")
            process.stdin.flush()
            answer = json.loads(self._answers.get(timeout=self._timeout_s))
        except queue.Empty:
            return "the speech engine did not answer"
        except (OSError, ValueError) as error:
            return str(error)
        return "" if answer["ok"] else str(answer["error"])

    def _running(self) -> subprocess.Popen[str]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self.close()
        self._answers = queue.Queue()
        process = subprocess.Popen(
            [sys.executable, "-m", "voicecheck.speech.synthesis_worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        threading.Thread(
            target=_collect, args=(process, self._answers), daemon=True
        ).start()
        self._process = process
        return process


def _collect(process: subprocess.Popen[str], answers: queue.Queue[str]) -> None:
    if process.stdout is None:
        return
    try:
        for line in process.stdout:
            answers.put(line)
    except ValueError:  # closed while reading: the process was ended
        return


def _key(text: str, voice: Voice) -> str:
    parts = (__version__, voice.name, voice.words_a_minute, voice.pitch, text)
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:32]


def _read(path: Path) -> Sound:
    try:
        frames, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    except (soundfile.SoundFileError, OSError) as error:
        raise SynthesisError("the speech engine wrote no sound") from error
    if len(frames) == 0:
        raise SynthesisError("the speech engine wrote an empty sound")
    return Sound(frames.mean(axis=1), int(rate_hz))


def _levelled(sound: Sound) -> Sound:
    """Cut the silence around and bring every text to the same level."""
    frames: Frames = sound.frames
    loud = np.flatnonzero(np.abs(frames) > 0.01 * np.max(np.abs(frames), initial=1e-9))
    if len(loud) == 0:
        raise SynthesisError("the speech engine spoke silence")
    edge = sound.rate_hz // 50
    frames = frames[max(0, loud[0] - edge) : loud[-1] + edge]
    active = frames[np.abs(frames) > 0.02]
    rms = float(np.sqrt(np.mean(np.square(active)))) if len(active) else 1.0
    gain = min(_LEVEL_RMS / rms, _PEAK / float(np.max(np.abs(frames))))
    return Sound((frames * gain).astype(np.float32), sound.rate_hz)
