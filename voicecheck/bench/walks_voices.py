"""The voices of simulated operators: spoken clips of a corpus, one voice a walk.

A voice that says nearly all phrases walks alone. One that says only some, such
as recordings of real announcers, is laid over a voice that says the rest. What
nobody says is spoken by the voices that come with the program.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import JUDGING, TUNING, Clip, load_family
from voicecheck.bench.hearing_corpus import Split
from voicecheck.bench.hearing_run import Talkers, pick_talkers
from voicecheck.bench.phrases import OTHER, PHRASES
from voicecheck.bench.trial_plan import split_examples
from voicecheck.errors import UsageError

__all__ = ["Examples", "Material", "Speak", "WalkVoice", "load_material"]

Speak = Callable[[str], Frames | None]
Examples = Mapping[str, Mapping[str, Sequence[Frames]]]

_WHOLE = 0.9
"""Share of our phrases from which on a voice walks alone."""
_MOST_TUNING = 12
_TALKERS_A_FILE = 60
_BETWEEN_DIGITS_S = 0.05
"""Pause between the digits of a number; our choice, no source."""


@dataclass(slots=True, kw_only=True)
class WalkVoice:
    """Who answers on one walk."""

    key: str
    speaker: str
    side: Split
    layers: tuple[Mapping[str, Frames], ...]
    """Clips by text; an earlier layer goes first."""
    speak: Speak
    """Says what is in no layer."""
    spoken: dict[str, Frames] = field(default_factory=dict)
    missing: int = 0
    """How often something was said that is in no layer."""

    def say(self, text: str) -> Frames:
        """Return a phrase, or a number word by word, clean.

        Raises:
            UsageError: nobody can say it.
        """
        if text not in self.spoken:
            found = self._layered(text)
            if found is None:
                self.missing += 1
                return self._by_program(text)
            self.spoken[text] = found
        return self.spoken[text]

    def _layered(self, text: str) -> Frames | None:
        for layer in self.layers:
            if text in layer:
                return layer[text]
        words = text.split()
        for layer in self.layers:
            if all(word in layer for word in words):
                return _joined([layer[word] for word in words])
        return None

    def _by_program(self, text: str) -> Frames:
        frames = self.speak(text)
        if frames is None:
            raise UsageError(
                f"no voice says {text!r}: build the corpus with all phrases, or "
                "install eSpeak NG for what it lacks"
            )
        return frames


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """All voices of a run."""

    voices: tuple[WalkVoice, ...]
    examples: Examples
    """Speaker → phrase → clips to enrol from; empty for strangers."""
    talkers: Talkers


def load_material(
    folder: Path, side: Split | None, speak: Speak, *, enrolled: bool
) -> Material:
    """Read the voices of one side.

    Args:
        folder: of .npz files.
        side: None: judging where a whole voice is there, else tuning.
        speak: says what the corpus lacks.
        enrolled: only speakers who can enrol, by settings that are not heard.

    Raises:
        UsageError: there is no voice that walks.
    """
    sides = [side] if side else [Split.JUDGING, Split.TUNING]
    for one in sides:
        clips = _clips(folder, one)
        examples: Examples = {}
        if enrolled:
            examples, clips = split_examples(clips, PHRASES)
            clips = [clip for clip in clips if clip.speaker in examples]
        voices = _voices(clips, one, speak)
        if voices:
            return Material(voices=voices, examples=examples, talkers=_talkers(folder))
    wanted = " or ".join(f"{one.value} voice" for one in sides)
    raise UsageError(
        f"no {wanted} in {folder} says {_WHOLE:.0%} of our phrases"
        + (" in four settings" if enrolled else "")
        + ": build a corpus with python -m voicecheck.bench.build_corpus FOLDER, or "
        "choose other --operator-voices"
    )


def _voices(clips: Sequence[Clip], side: Split, speak: Speak) -> tuple[WalkVoice, ...]:
    said: dict[str, dict[str, Frames]] = {}
    speakers: dict[str, str] = {}
    for clip in clips:
        if clip.label != OTHER:
            said.setdefault(clip.voice, {})[clip.text] = clip.frames
            speakers[clip.voice] = clip.speaker
    whole = [key for key in sorted(said) if _share(said[key]) >= _WHOLE]
    if side is Split.TUNING and len(whole) > _MOST_TUNING:
        step = len(whole) / _MOST_TUNING
        whole = [whole[int(i * step)] for i in range(_MOST_TUNING)]
    some = [key for key in sorted(said) if _share(said[key]) < _WHOLE]
    if not whole or side is Split.TUNING:
        some = []  # there are enough that say all
    layered = [(key,) for key in whole]
    over = [(key, whole[i % len(whole)]) for i, key in enumerate(some)]
    return tuple(
        WalkVoice(
            key=" over ".join(keys),
            speaker=speakers[keys[-1]],
            side=side,
            layers=tuple(said[key] for key in keys),
            speak=speak,
        )
        for keys in (*layered, *over)
    )


def _share(words: Mapping[str, Frames]) -> float:
    return sum(phrase in words for phrase in PHRASES) / len(PHRASES)


def _files(folder: Path, side: Split) -> list[Path]:
    """The files that hold voices of a side; other files are not unpacked."""
    families = {f.value for f in (JUDGING if side is Split.JUDGING else TUNING)}
    found = []
    for path in sorted(folder.glob("*.npz")):
        if path.stem.endswith("-talk"):
            continue
        with np.load(path) as archive:
            voices = {str(voice).split("/")[0] for voice in archive["voice"]}
        if voices & families:
            found.append(path)
    return found


def _clips(folder: Path, side: Split) -> list[Clip]:
    families = {f.value for f in (JUDGING if side is Split.JUDGING else TUNING)}
    return [
        clip
        for path in _files(folder, side)
        for clip in load_family(path)
        if clip.label != OTHER and clip.voice.split("/")[0] in families
    ]


def _talkers(folder: Path) -> Talkers:
    """Other people's talk, of the voices that are not judged."""
    frames: list[Frames] = []
    for path in _files(folder, Split.TUNING):
        talk = [clip.frames for clip in load_family(path) if clip.label == OTHER]
        frames += talk[:_TALKERS_A_FILE]
    return pick_talkers(frames, seed=17)


def _joined(clips: Sequence[Frames]) -> Frames:
    pause = np.zeros(round(_BETWEEN_DIGITS_S * RATE_HZ), np.float32)
    pieces = [piece for clip in clips for piece in (pause, clip)]
    return np.concatenate(pieces[1:])
