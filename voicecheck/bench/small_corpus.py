"""A small corpus from the voices of this computer, kept for the next run.

The bundled voices of the prompts always work; other synthesisers add theirs
where they are installed. It takes some minutes once.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

import platformdirs

from voicecheck import __version__
from voicecheck.bench.corpus import Clip, load_family, other_texts, save_family
from voicecheck.bench.phrases import ELEVEN, NEAR_WORDS, PHRASES, label_of
from voicecheck.bench.voices.bundled import Bundled
from voicecheck.bench.voices.command_line import Festival, Flite
from voicecheck.bench.voices.neural import Hibari, Kokoro, Piper
from voicecheck.bench.voices.ports import Synthesiser, Voice

__all__ = ["SYNTHESISERS", "build_small_corpus", "cache_folder", "small_texts"]

Makers = Mapping[str, tuple[Callable[[], Synthesiser], int]]

SYNTHESISERS: Makers = {
    "bundled": (Bundled, 12),
    "piper": (Piper, 6),
    "flite": (Flite, 4),
    "festival": (Festival, 3),
    "hibari": (Hibari, 4),
    "kokoro": (Kokoro, 3),
}
"""Maker, and the most voices of each: slow ones say less. Tried in this order; the
tube model and the recordings need files of their own."""

OTHERS = 24
"""Texts that are not ours, for each voice."""
_SHORTEST, _LONGEST = 1_900, 40_000
"""Samples of a plausible clip."""

Progress = Callable[[str], None]


def cache_folder() -> Path:
    """Return where corpora of this version are kept; they can be thrown away."""
    given = os.environ.get("VOICECHECK_HOME")
    base = given or platformdirs.user_cache_dir("voicecheck", False)
    return Path(base) / "bench" / __version__


def small_texts(voice: int, *, all_phrases: bool = False) -> tuple[str, ...]:
    """Return what one voice says: phrases, near words, other words.

    Args:
        voice: its number; each has other words.
        all_phrases: every phrase of the grammars instead of the eleven.
    """
    phrases = PHRASES if all_phrases else (*ELEVEN, *_elsewhere(voice))
    near = tuple(NEAR_WORDS[(voice * 7 + i * 13) % len(NEAR_WORDS)] for i in range(8))
    return tuple(dict.fromkeys((*phrases, *near, *other_texts(OTHERS, 900 + voice))))


def _elsewhere(voice: int) -> tuple[str, ...]:
    """Pick six phrases of other questions."""
    rest = [phrase for phrase in PHRASES if phrase not in ELEVEN]
    return tuple(rest[(voice * 5 + i * 11) % len(rest)] for i in range(6))


def build_small_corpus(
    folder: Path,
    progress: Progress,
    *,
    synthesisers: Makers | None = None,
    all_phrases: bool = False,
) -> list[str]:
    """Build what is missing; return the voices that there are.

    Args:
        folder: where the files of the families lie.
        progress: told a sentence now and then.
        synthesisers: name → maker and most voices; None: all that are known.
        all_phrases: every phrase of the grammars instead of the eleven.
    """
    folder.mkdir(parents=True, exist_ok=True)
    voices: list[str] = []
    for name, (make, most) in (synthesisers or SYNTHESISERS).items():
        synthesiser = make()
        found = tuple(islice(synthesiser.voices(), most))
        if not found:
            continue
        path = folder / f"{name}.npz"
        known = load_family(path) if path.exists() else ()
        clips = [*known, *_missing(synthesiser, found, known, all_phrases, progress)]
        if len(clips) > len(known):
            save_family(path, clips)
        voices += [voice.key for voice in found]
    return voices


def _missing(
    synthesiser: Synthesiser,
    voices: Sequence[Voice],
    known: Sequence[Clip],
    all_phrases: bool,
    progress: Progress,
) -> Iterator[Clip]:
    said = {(clip.voice, clip.text) for clip in known}
    for number, voice in enumerate(voices):
        texts = small_texts(number, all_phrases=all_phrases)
        todo = [text for text in texts if (voice.key, text) not in said]
        # a phrase that a voice cannot say is tried once more, not the whole voice
        if len(todo) > len(texts) // 10:
            progress(f"{voice.key} says {len(todo)} texts ({number + 1}/{len(voices)})")
        for text in todo:
            frames = synthesiser.say(voice, text)
            if frames is not None and _SHORTEST <= frames.size <= _LONGEST:
                yield Clip(
                    text=text, label=label_of(text), voice=voice.key, frames=frames
                )
