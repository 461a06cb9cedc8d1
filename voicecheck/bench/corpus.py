"""The spoken corpus: every voice says every phrase once, and other words.

Clips are kept as 8-bit mu-law (the companding law of ITU-T G.711, by formula),
about 38 dB of quality, in one compressed file for each family of voices, so
that a corpus of ten thousand clips stays near 60 MB.
"""

from __future__ import annotations

import logging
import zipfile
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.bench.near_words import same_sound
from voicecheck.bench.phrases import (
    CHATTER_SENTENCES,
    CONTRARY,
    NEAR_WORDS,
    OTHER,
    PHRASES,
    SPELLINGS,
    chatter_words,
    label_of,
)
from voicecheck.bench.talk import number_texts, talk_texts
from voicecheck.bench.voices.ports import Family, Synthesiser
from voicecheck.errors import SynthesisError

__all__ = [
    "JUDGING",
    "NUMBERS_PART",
    "OTHER",
    "TUNING",
    "Clip",
    "build_family",
    "build_numbers",
    "build_talk",
    "clips_of",
    "load_family",
    "other_texts",
    "save_family",
]

_LOG = logging.getLogger(__name__)

TUNING = (
    Family.ESPEAK,
    Family.FESTVOX,
    Family.TUBE,
    Family.STYLE,
    Family.MORPHED,
)
"""Families that the shipped network, its thresholds and its map may hear."""

JUDGING = (Family.PIPER, Family.HUMAN)
"""Families that nothing shipped was ever tuned on."""

NUMBERS_PART = "-numbers"
"""In the name of a part that only the digit network learns from."""

MU = 255.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """One utterance, clean and trimmed."""

    text: str
    """What was said."""
    label: str
    """The phrase that it is, or OTHER."""
    voice: str
    """Key of the voice: family/name/setting."""
    frames: Frames
    """The sound, peak 0.5."""

    @property
    def speaker(self) -> str:
        """Family and name, without the setting."""
        return self.voice.rsplit("/", 1)[0]


def other_texts(count: int, seed: int) -> tuple[str, ...]:
    """Pick texts that are none of our phrases: near words, talk, chatter.

    Half come from the near words and sentences (drawn without repeats), the
    rest are random words of the dictionary.
    """
    rng = np.random.default_rng(seed)
    near = np.array(NEAR_WORDS + CHATTER_SENTENCES, dtype=object)
    half = min(count // 2, len(near))
    picked = [str(t) for t in rng.choice(near, size=half, replace=False)]
    texts = [t for t in picked if t not in PHRASES]
    return (*texts, *chatter_words(count - half, seed))


def build_family(
    synthesiser: Synthesiser,
    *,
    others: int,
    seed: int,
    known: Sequence[Clip] = (),
) -> Iterator[Clip]:
    """Let each voice say each phrase, its contraries and `others` more texts.

    A phrase that a voice cannot say, or whose clip is implausibly short or
    long (under 0.12 s, over 2.5 s), is left out and logged.

    Args:
        synthesiser: whose voices speak.
        others: how many texts that are not ours each voice says.
        seed: of the choice of those texts.
        known: clips that are there already; they come first, and a voice that
            is among them says only the phrases that it has not said.
    """
    yield from known
    said = {(clip.voice, clip.text) for clip in known}
    heard = {clip.voice for clip in known}
    for index, voice in enumerate(synthesiser.voices()):
        texts = [*PHRASES, *SPELLINGS, *CONTRARY]
        if voice.key not in heard:
            texts += other_texts(others, seed + index)
        for text in texts:
            if (voice.key, text) in said:
                continue
            frames = synthesiser.say(voice, text)
            if frames is None or not 1_900 <= frames.size <= 40_000:
                _LOG.info("left out: %s by %s", text, voice.key)
                continue
            yield Clip(text=text, label=label_of(text), voice=voice.key, frames=frames)


def build_talk(synthesiser: Synthesiser, *, texts: int, seed: int) -> Iterator[Clip]:
    """Let each voice say `texts` words and strings of digits of its own."""
    yield from _build_own(synthesiser, lambda index: talk_texts(texts, seed + index))


def build_numbers(synthesiser: Synthesiser, *, texts: int, seed: int) -> Iterator[Clip]:
    """Let each voice say `texts` strings of digits of its own."""
    yield from _build_own(synthesiser, lambda index: number_texts(texts, seed + index))


def _build_own(
    synthesiser: Synthesiser, texts_of: Callable[[int], Sequence[str]]
) -> Iterator[Clip]:
    for index, voice in enumerate(synthesiser.voices()):
        for text in texts_of(index):
            frames = synthesiser.say(voice, text)
            if frames is not None and 1_900 <= frames.size <= 60_000:
                yield Clip(
                    text=text, label=label_of(text), voice=voice.key, frames=frames
                )


def save_family(path: Path, clips: Iterable[Clip]) -> int:
    """Write clips to one file; returns how many."""
    kept = list(clips)
    coded = [_compress(clip.frames) for clip in kept]
    np.savez_compressed(
        path,
        text=np.array([clip.text for clip in kept]),
        voice=np.array([clip.voice for clip in kept]),
        length=np.array([c.size for c in coded], dtype=np.int32),
        sound=np.concatenate(coded) if coded else np.zeros(0, dtype=np.uint8),
    )
    return len(kept)


def load_family(path: Path) -> tuple[Clip, ...]:
    """Read clips that `save_family` wrote.

    Raises:
        SynthesisError: the file holds something else.
    """
    try:
        with np.load(path) as archive:
            texts, voices = archive["text"], archive["voice"]
            ends = np.cumsum(archive["length"])
            pieces: Sequence[np.ndarray] = np.split(archive["sound"], ends[:-1])
    except (KeyError, ValueError, zipfile.BadZipFile) as problem:
        raise SynthesisError(
            f"{path} is no part of a corpus: move it out of the folder, or build "
            "the part again"
        ) from problem
    rows = zip(texts, voices, pieces, strict=True)
    return tuple(
        Clip(text=str(t), label=label_of(str(t)), voice=str(v), frames=_expand(p))
        for t, v, p in rows
    )


def clips_of(
    folder: Path, families: Collection[str], *, numbers: bool = False
) -> list[Clip]:
    """Load the clips of the named families, in a fixed order, to learn from.

    Other speech that sounds exactly like a phrase of ours is left out: it would
    teach doubt about the phrase.

    Args:
        folder: of the corpus.
        families: whose clips.
        numbers: take the parts that hold nothing but numbers too.
    """
    clips: list[Clip] = []
    for path in sorted(folder.glob("*.npz")):
        if NUMBERS_PART in path.stem and not numbers:
            continue
        found = [c for c in load_family(path) if c.voice.split("/")[0] in families]
        clips.extend(
            c for c in found if c.label != OTHER or not same_sound(c.text, PHRASES)
        )
    return clips


def _compress(frames: Frames) -> np.ndarray:
    """Mu-law: sign and logarithm of the sample in 8 bits."""
    size = np.log1p(MU * np.abs(frames)) / np.log1p(MU)
    coded: np.ndarray = np.round(np.sign(frames) * size * 127) + 128
    return coded.astype(np.uint8)


def _expand(coded: np.ndarray) -> Frames:
    signed = (coded.astype(np.float32) - 128) / 127
    size = np.expm1(np.abs(signed) * np.log1p(MU)) / MU
    return np.asarray(np.sign(signed) * size, dtype=np.float32)
