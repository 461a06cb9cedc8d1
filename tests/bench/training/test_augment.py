"""How often each clip is drawn in training."""

from __future__ import annotations

import numpy as np
import pytest

pytest.importorskip("torch", reason="training needs PyTorch, using does not")

import torch

from voicecheck.bench.corpus import Clip
from voicecheck.bench.phrases import label_of
from voicecheck.bench.training.augment import clip_odds

OTHER = 1


def test_denied_answers_are_rarer_than_other_contraries() -> None:
    """As many voices say "not good" as "good": so often, it would teach doubt."""
    texts = ("good", "wood", "not good", "all over", "no leak")
    odds = dict(zip(texts, _of_others(texts), strict=True))

    assert odds["good"] == 0
    assert odds["not good"] == odds["no leak"] < odds["wood"] / 4
    assert odds["all over"] == odds["wood"]


def _of_others(texts: tuple[str, ...]) -> list[float]:
    frames = np.zeros(4_000, dtype=np.float32)
    clips = [
        Clip(text=text, label=label_of(text), voice="tube/a/s", frames=frames)
        for text in texts
    ]
    targets = torch.tensor([0 if clip.label else OTHER for clip in clips])
    _, others = clip_odds(clips, targets, OTHER)
    return [float(share) for share in others]
