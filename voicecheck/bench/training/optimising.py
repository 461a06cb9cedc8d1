"""How the weights move: the rate over time, and their running mean."""

from __future__ import annotations

import math

import torch
from torch import nn

__all__ = ["follow", "rate_at"]

_RISING = 0.1


def rate_at(spent: float) -> float:
    """Share of the highest rate: up in the first tenth, then down by a cosine."""
    if spent < _RISING:
        return 0.04 + 0.96 * spent / _RISING
    return 0.5 * (1 + math.cos(math.pi * (spent - _RISING) / (1 - _RISING)))


def follow(mean: nn.Module, net: nn.Module, keep: float) -> None:
    """Move the running mean of weights and norms towards the present ones."""
    theirs = [*net.parameters(), *(b for b in net.buffers() if b.is_floating_point())]
    ours = [*mean.parameters(), *(b for b in mean.buffers() if b.is_floating_point())]
    with torch.no_grad():
        torch._foreach_lerp_([o.data for o in ours], [t.data for t in theirs], 1 - keep)
