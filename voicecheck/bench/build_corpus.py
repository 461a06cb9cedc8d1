"""Build the corpus: `python -m voicecheck.bench.build_corpus FOLDER [PART...]`.

Each part is one synthesiser and becomes one file. A part that is there already
is only completed: its voices say the phrases that are new since. On one core
the style voices take about two hours, the others some minutes each.
"""

from __future__ import annotations

import argparse
import logging
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from voicecheck.bench.corpus import (
    NUMBERS_PART,
    Clip,
    build_family,
    build_numbers,
    build_talk,
    load_family,
    save_family,
)
from voicecheck.bench.training.spoken import words_said
from voicecheck.bench.voices.command_line import Espeak, Festival, Flite
from voicecheck.bench.voices.morphed import morphed_clips
from voicecheck.bench.voices.neural import Hibari, Kokoro, Piper
from voicecheck.bench.voices.ports import Synthesiser
from voicecheck.bench.voices.recordings import recorded_clips
from voicecheck.bench.voices.tube import Tube
from voicecheck.errors import SynthesisError

__all__ = ["PARTS", "main"]

PARTS: dict[str, tuple[Callable[[], Synthesiser], int]] = {
    "piper": (Piper, 120),
    "hibari": (Hibari, 70),
    "flite": (Flite, 70),
    "festival": (Festival, 60),
    "tube": (Tube, 60),
    "kokoro": (Kokoro, 30),
    "espeak": (Espeak, 45),
}
"""Synthesiser and how many texts that are not ours each voice says."""

TALK = {
    "hibari": 400,
    "flite": 200,
    "festival": 80,
    "tube": 40,
    "kokoro": 40,
    "espeak": 90,
}
"""How many near words, sentences, words and strings of digits each voice says."""

NUMBERS = {
    "hibari": 40,
    "flite": 40,
    "festival": 40,
    "tube": 20,
    "kokoro": 8,
    "espeak": 20,
}
"""How many more strings of digits each voice says for the digit network."""

MORPH_SOURCES = ("kokoro", "hibari", "flite", "festival")
"""Parts whose voices are morphed into more talkers; they are built first."""

_LOG = logging.getLogger(__name__)


def main(arguments: list[str] | None = None) -> int:
    """Build the parts asked for; 0 when at least one voice was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("parts", nargs="*", choices=[*PARTS, "human", "morphed", []])
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument(
        "--talk", action="store_true", help="words and digits for the phone layer"
    )
    kind.add_argument(
        "--numbers",
        action="store_true",
        help="more digits for the digit network; after the talk",
    )
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_intermixed_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    asked.folder.mkdir(parents=True, exist_ok=True)
    built = 0
    suffix = "-talk" if asked.talk else NUMBERS_PART if asked.numbers else ""
    for offset, name in enumerate([*PARTS, "human", "morphed"]):
        if asked.parts and name not in asked.parts:
            continue
        path = asked.folder / f"{name}{suffix}.npz"
        began = time.monotonic()
        try:
            clips = _clips(asked, name, path, offset)
            if clips is None:
                continue
            count = save_family(path, clips)
        except SynthesisError as problem:
            _LOG.error("%s: left out. %s", name, problem)
            continue
        built += count
        _LOG.info("%s: %d clips, %.0f s", name, count, time.monotonic() - began)
    return 0 if built else 1


def _clips(
    asked: argparse.Namespace, name: str, path: Path, offset: int
) -> Iterable[Clip] | None:
    """Return what one part will hold; None where it has none of the kind.

    Raises:
        SynthesisError: the part is there and broken, or there is nothing to morph.
    """
    if asked.numbers and name == "morphed":
        return _morphed_numbers(asked.folder)
    if asked.numbers or asked.talk:
        texts, build, own = (
            (NUMBERS, build_numbers, 8000)
            if asked.numbers
            else (TALK, build_talk, 7000)
        )
        if name not in texts:
            return None
        seed = asked.seed * own + offset * 100
        return build(PARTS[name][0](), texts=texts[name], seed=seed)
    if name == "human":
        return recorded_clips()
    if name == "morphed":
        return morphed_clips(_sources(asked.folder, ""))
    make, others = PARTS[name]
    said = load_family(path) if path.exists() else ()
    seed = asked.seed * 1000 + 100 * offset
    return build_family(make(), others=others, seed=seed, known=said)


def _morphed_numbers(folder: Path) -> Iterator[Clip]:
    """Morph the numbers that the source parts hold; all new talkers say each digit.

    Raises:
        SynthesisError: no source part is there, or the vocoder is missing.
    """
    numbers = [c for c in _sources(folder, "*") if words_said(c.text) is not None]
    yield from morphed_clips(
        numbers, seed=33, by_all=lambda clip: len(clip.text.split()) == 1
    )


def _sources(folder: Path, suffix: str) -> list[Clip]:
    """Load the parts that are morphed.

    Raises:
        SynthesisError: none is there.
    """
    paths = [p for n in MORPH_SOURCES for p in sorted(folder.glob(f"{n}{suffix}.npz"))]
    sources = [clip for p in paths for clip in load_family(p)]
    if not sources:
        raise SynthesisError(
            f"No voices to morph: build one of {', '.join(MORPH_SOURCES)} first"
        )
    return sources


if __name__ == "__main__":
    raise SystemExit(main())
