"""What a training writes down beside its weights."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence

import torch

from voicecheck.bench.corpus import Clip

__all__ = ["write_provenance"]


def write_provenance(
    asked: argparse.Namespace, clips: Sequence[Clip], *, steps: int, **facts: object
) -> None:
    """Write a JSON file beside the weights: who was heard, how, for how long.

    Args:
        asked: of `training_parser`; says where the weights are.
        clips: what was learned from.
        steps: of the training.
        facts: what else there is to say; it comes first.
    """
    provenance = {
        **facts,
        "families": asked.families,
        "without": asked.without,
        "speakers": sorted({clip.speaker for clip in clips}),
        "clips": len(clips),
        "steps": steps,
        "batch": asked.batch,
        "rate": asked.rate,
        "seed": asked.seed,
        "torch": torch.__version__,
    }
    text = json.dumps(provenance, indent=1, ensure_ascii=False)
    asked.out.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
