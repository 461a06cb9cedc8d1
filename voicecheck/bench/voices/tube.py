"""Articulatory voices: a tube model of the vocal tract, run by Node.js.

The npm package `@echogarden/gnuspeech-wasm` (GPL-3.0) must be installed in the
folder that the environment variable VOICECHECK_NODE_FOLDER names.
"""

from __future__ import annotations

import base64
import io
import json
import os
import shutil
import subprocess
from pathlib import Path

import soundfile

from voicecheck.audio.frames import Frames
from voicecheck.bench.voices.ports import Family, Voice, to_clip

__all__ = ["Tube"]

FOLDER_VARIABLE = "VOICECHECK_NODE_FOLDER"

SCRIPT = """
import { synthesize } from '@echogarden/gnuspeech-wasm'
import readline from 'readline'
for await (const line of readline.createInterface({ input: process.stdin })) {
  const { text, voice, tempo } = JSON.parse(line)
  let sound = ''
  try {
    const made = await synthesize(text, { voice, tempo, controlRate: 250 })
    sound = Buffer.from(made.audioData).toString('base64')
  } catch (problem) {}
  console.log('SOUND ' + sound)
}
"""


class Tube:
    """Four vocal tracts at two tempi each, over one running Node process."""

    SPEAKERS = ("male", "female", "large_child", "small_child")
    TEMPI = (0.9, 1.2)

    def __init__(self) -> None:
        """Start nothing yet."""
        self._process: subprocess.Popen[str] | None = None

    def voices(self) -> tuple[Voice, ...]:
        """List tracts times tempi."""
        folder = os.environ.get(FOLDER_VARIABLE)
        if folder is None or shutil.which("node") is None:
            return ()
        if not (Path(folder) / "node_modules/@echogarden/gnuspeech-wasm").exists():
            return ()
        return tuple(
            Voice(
                family=Family.TUBE,
                name=f"tube-{speaker}",
                setting=f"t{tempo}",
                licence="GPL-3.0 program, model by rule",
            )
            for speaker in self.SPEAKERS
            for tempo in self.TEMPI
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        process = self._running()
        assert process.stdin is not None
        assert process.stdout is not None
        request = {
            "text": text,
            "voice": voice.name.removeprefix("tube-"),
            "tempo": float(voice.setting[1:]),
        }
        process.stdin.write(json.dumps(request) + "\n")
        process.stdin.flush()
        for line in process.stdout:
            if line.startswith("SOUND "):
                coded = base64.b64decode(line[6:])
                break
        else:
            return None
        if not coded:
            return None
        samples, rate_hz = soundfile.read(io.BytesIO(coded), dtype="float32")
        clip = to_clip(samples, rate_hz)
        return clip if clip.size else None

    def _running(self) -> subprocess.Popen[str]:
        if self._process is None:
            self._process = subprocess.Popen(  # noqa: S603 - fixed program
                ["node", "--input-type=module", "-e", SCRIPT],  # noqa: S607
                cwd=os.environ[FOLDER_VARIABLE],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )
        return self._process
