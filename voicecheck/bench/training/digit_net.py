"""The digit network for training: which words of a number are said, and when.

One small network that gives, every 20 ms, the probability of each word of a
number and of "nothing new". Log-mel input, one small 2-D convolution and
depthwise-separable blocks over time, as in `net`, without its twins and gates.

Sources: as in `net`; Graves et al. 2006 for the loss.
"""

from __future__ import annotations

import torch
from torch import nn

from voicecheck.bench.training.depthwise import Depthwise
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.network.features import BANDS

__all__ = ["DIGIT_DILATIONS", "DigitNet"]

FIRST = 16
WIDTH = 144
KERNEL = 9
DIGIT_DILATIONS = (1, 1, 1, 2, 2, 4, 4)
HALVED_AFTER = 2
"""Blocks before the time step doubles to 20 ms."""


class DigitBlock(nn.Module):
    """Depthwise over time, pointwise over channels, residual."""

    def __init__(self, dilation: int) -> None:
        """Keep the length by padding."""
        super().__init__()
        self.depthwise = Depthwise(WIDTH, KERNEL, dilation)
        self.norm1 = nn.BatchNorm1d(WIDTH)
        self.pointwise = nn.Conv1d(WIDTH, WIDTH, 1, bias=False)
        self.norm2 = nn.BatchNorm1d(WIDTH)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Add what the block finds to what came in."""
        y = torch.relu(self.norm1(self.depthwise(x)))
        return torch.relu(x + self.norm2(self.pointwise(y)))


class DigitNet(nn.Module):
    """Features to logits of "nothing new" and the words, every 20 ms."""

    def __init__(self) -> None:
        """Build it."""
        super().__init__()
        self.first = nn.Conv2d(1, FIRST, 3, stride=(2, 1), padding=1, bias=False)
        self.norm0 = nn.BatchNorm2d(FIRST)
        self.mix = nn.Conv1d(FIRST * BANDS // 2, WIDTH, 1, bias=False)
        self.norm_mix = nn.BatchNorm1d(WIDTH)
        self.blocks = nn.ModuleList(DigitBlock(d) for d in DIGIT_DILATIONS)
        self.drop = nn.Dropout(0.1)
        self.last = nn.Conv1d(WIDTH, 1 + len(WORDS), 1)

    def forward(self, mel: torch.Tensor) -> torch.Tensor:
        """Turn (batch, BANDS, time) into (batch, 1 + words, time // 2)."""
        x = torch.relu(self.norm0(self.first(mel[:, None])))
        x = torch.relu(self.norm_mix(self.mix(x.flatten(1, 2))))
        for index, block in enumerate(self.blocks):
            if index == HALVED_AFTER:
                x = nn.functional.avg_pool1d(x, 2)
            x = block(x)
        logits: torch.Tensor = self.last(self.drop(x))
        return logits
