"""Recordings of a person, for judging only.

Debian's `asterisk-core-sounds-en-g722` holds telephone announcements spoken by
one professional talker (CC-BY-SA-3.0), wideband (16 kHz). A few are words of
ours: the digits, "niner", "no", "pause". The rest are other words and whole
sentences, which nothing of ours should take for a command.

The folder is found where Debian installs it, or is named by the environment
variable VOICECHECK_RECORDINGS.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import OTHER, Clip
from voicecheck.bench.voices.ports import to_clip
from voicecheck.speech.network.digit_words import DIGITS

__all__ = ["recorded_clips"]

FOLDER_VARIABLE = "VOICECHECK_RECORDINGS"
DEBIAN_FOLDER = Path("/usr/share/asterisk/sounds")

OURS = {f"digits/{i}": word for i, word in enumerate(DIGITS)} | {
    "phonetic/9_p": "niner",
    "vm-no": "no",
    "dictate/pause": "pause",
}
"""File, without its ending, and the phrase of ours that it says."""

SKIPPED = ("silence/", "beep", "ascending", "descending", "tt-monkeys")


def recorded_clips() -> Iterator[Clip]:
    """Give the recordings as clips; nothing when the package is missing.

    Long announcements are cut to their first 1.5 s: a talker cut off, or
    chatter that begins while we listen.
    """
    root = Path(os.environ.get(FOLDER_VARIABLE, str(DEBIAN_FOLDER)))
    for folder in sorted(root.glob("en*")):
        for path in sorted(folder.rglob("*.g722")):
            name = str(path.relative_to(folder).with_suffix(""))
            if name.startswith(SKIPPED):
                continue
            clip = to_clip(_decode(path), RATE_HZ)[: RATE_HZ * 3 // 2]
            if clip.size < 1_900:
                continue
            label = OURS.get(name, OTHER)
            yield Clip(
                text=label or name,
                label=label,
                voice="human/announcer/recorded",
                frames=clip,
            )


def _decode(path: Path) -> Frames:
    """Decode raw G.722 (ITU-T, 64 kbit/s) to 16 kHz."""
    import av  # noqa: PLC0415

    with av.open(str(path), format="g722") as container:
        blocks = [frame.to_ndarray() for frame in container.decode(audio=0)]
    whole = np.concatenate(blocks, axis=1)[0]
    if whole.dtype == np.int16:
        return np.asarray(whole / 32768, dtype=np.float32)
    return np.asarray(whole, dtype=np.float32)
