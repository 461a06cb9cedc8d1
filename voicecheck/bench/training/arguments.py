"""What every training is asked for on its command line."""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from voicecheck.bench.corpus import TUNING, Clip, clips_of

__all__ = ["learned_from", "training_parser"]


def training_parser(description: str | None, *, batch: int) -> argparse.ArgumentParser:
    """Return the parser.

    Args:
        description: of the program.
        batch: usual number of trials in a step.
    """
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("out", type=Path, help="the .npz to write")
    parser.add_argument("--families", nargs="+", default=[f.value for f in TUNING])
    parser.add_argument(
        "--without", default=None, help="leave out voices whose key begins so"
    )
    parser.add_argument("--steps", type=int, default=12_000)
    parser.add_argument(
        "--minutes",
        type=float,
        default=math.inf,
        help="end with what could be learned by then; the rate falls accordingly",
    )
    parser.add_argument("--batch", type=int, default=batch)
    parser.add_argument("--rate", type=float, default=4e-3)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--device", default="cpu")
    return parser


def learned_from(asked: argparse.Namespace, *, numbers: bool = False) -> list[Clip]:
    """Return the clips that were asked for, in a fixed order.

    Args:
        asked: of `training_parser`.
        numbers: take the parts that hold nothing but numbers too.
    """
    clips = clips_of(asked.corpus, tuple(asked.families), numbers=numbers)
    if asked.without:
        clips = [c for c in clips if not c.voice.startswith(asked.without)]
    return sorted(clips, key=lambda c: c.voice)
