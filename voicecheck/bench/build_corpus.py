"""Build the corpus: `python -m voicecheck.bench.build_corpus FOLDER [PART...]`.

Each part is one synthesiser and becomes one file. A part that is there already
is only completed: its voices say the phrases that are new since. On one core
the style voices take about two hours, the others some minutes each.
"""

from __future__ import annotations

import argparse
import logging
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from voicecheck.bench.corpus import (
    Clip,
    build_family,
    build_talk,
    load_family,
    save_family,
)
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

MORPH_SOURCES = ("kokoro", "hibari", "flite", "festival")
"""Parts whose voices are morphed into more talkers; they are built first."""

_LOG = logging.getLogger(__name__)


def main(arguments: list[str] | None = None) -> int:
    """Build the parts asked for; 0 when at least one voice was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("parts", nargs="*", choices=[*PARTS, "human", "morphed", []])
    parser.add_argument(
        "--talk", action="store_true", help="words and digits for the phone layer"
    )
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    asked.folder.mkdir(parents=True, exist_ok=True)
    built = 0
    for offset, name in enumerate([*PARTS, "human", "morphed"]):
        path = asked.folder / f"{name}{'-talk' * asked.talk}.npz"
        if asked.parts and name not in asked.parts:
            continue
        if asked.talk and name not in TALK:
            continue
        began = time.monotonic()
        if name == "human":
            clips = recorded_clips()
        elif name == "morphed":
            clips = _morphed(asked.folder)
        elif asked.talk:
            clips = build_talk(
                PARTS[name][0](),
                texts=TALK[name],
                seed=asked.seed * 7000 + offset * 100,
            )
        else:
            make, others = PARTS[name]
            known = load_family(path) if path.exists() else ()
            clips = build_family(
                make(),
                others=others,
                seed=asked.seed * 1000 + 100 * offset,
                known=known,
            )
        try:
            count = save_family(path, clips)
        except SynthesisError as problem:
            _LOG.error("%s: left out. %s", name, problem)
            continue
        built += count
        _LOG.info("%s: %d clips, %.0f s", name, count, time.monotonic() - began)
    return 0 if built else 1


def _morphed(folder: Path) -> Iterator[Clip]:
    """Morph what the source parts hold.

    Raises:
        SynthesisError: no source part is there, or the vocoder is missing.
    """
    paths = [folder / f"{name}.npz" for name in MORPH_SOURCES]
    sources = [clip for p in paths if p.exists() for clip in load_family(p)]
    if not sources:
        raise SynthesisError(
            f"No voices to morph: build one of {', '.join(MORPH_SOURCES)} first"
        )
    yield from morphed_clips(sources)


if __name__ == "__main__":
    raise SystemExit(main())
