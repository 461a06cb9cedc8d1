"""The network for training, and its export with batch norms folded in.

Log-mel input, one small 2-D convolution, six depthwise-separable blocks over
time with residuals, mean and max pooling, one linear layer.
"""

from __future__ import annotations

import numpy as np
import torch
from torch import nn

from voicecheck.speech.network.features import (
    BANDS,
    FLOOR,
    HOP,
    SPAN,
    SPECTRUM,
    mel_weights,
    window,
)

__all__ = ["DILATIONS", "SpokenWordNet", "TorchLogMel", "export_arrays"]

FIRST = 24
WIDTH = 176
KERNEL = 9
DILATIONS = (1, 1, 1, 1, 2, 2)
HALVED_AFTER = 2
"""Blocks before the time step doubles to 20 ms."""


class TorchLogMel(nn.Module):
    """`features.log_mel` for batches on the training device."""

    def __init__(self) -> None:
        """Copy the window and the mel weights."""
        super().__init__()
        self.register_buffer("window", torch.from_numpy(window().copy()))
        self.register_buffer("mel", torch.from_numpy(mel_weights().copy()))

    def forward(self, frames: torch.Tensor) -> torch.Tensor:
        """Turn (batch, samples) into (batch, BANDS, time)."""
        blocks = frames.unfold(1, SPAN, HOP) * self.window
        power = torch.fft.rfft(blocks, SPECTRUM).abs() ** 2
        mel = power @ self.mel.T
        loudest = mel.amax(dim=(1, 2), keepdim=True).clamp(min=1e-20)
        logs = torch.log10(mel / loudest + FLOOR)
        return (logs - logs.mean(dim=1, keepdim=True)).transpose(1, 2)


class Block(nn.Module):
    """Depthwise over time, pointwise over channels, residual."""

    def __init__(self, dilation: int) -> None:
        """Keep the length by padding."""
        super().__init__()
        reach = dilation * (KERNEL // 2)
        self.depthwise = nn.Conv1d(
            WIDTH, WIDTH, KERNEL, padding=reach, dilation=dilation, groups=WIDTH,
            bias=False,
        )  # fmt: skip
        self.norm1 = nn.BatchNorm1d(WIDTH)
        self.pointwise = nn.Conv1d(WIDTH, WIDTH, 1, bias=False)
        self.norm2 = nn.BatchNorm1d(WIDTH)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Add what the block finds to what came in."""
        y = torch.relu(self.norm1(self.depthwise(x)))
        return torch.relu(x + self.norm2(self.pointwise(y)))


class SpokenWordNet(nn.Module):
    """Features to logits."""

    def __init__(self, classes: int) -> None:
        """Build for a number of classes."""
        super().__init__()
        self.first = nn.Conv2d(1, FIRST, 3, stride=(2, 1), padding=1, bias=False)
        self.norm0 = nn.BatchNorm2d(FIRST)
        self.mix = nn.Conv1d(FIRST * BANDS // 2, WIDTH, 1, bias=False)
        self.norm_mix = nn.BatchNorm1d(WIDTH)
        self.blocks = nn.ModuleList(Block(d) for d in DILATIONS)
        self.drop = nn.Dropout(0.15)
        self.last = nn.Linear(2 * WIDTH, classes)

    def embed(self, mel: torch.Tensor) -> torch.Tensor:
        """Return pooled features, shape (batch, 2 * WIDTH)."""
        x = torch.relu(self.norm0(self.first(mel[:, None])))
        x = torch.relu(self.norm_mix(self.mix(x.flatten(1, 2))))
        for index, block in enumerate(self.blocks):
            if index == HALVED_AFTER:
                x = nn.functional.avg_pool1d(x, 2)
            x = block(x)
        return torch.cat([x.mean(dim=2), x.amax(dim=2)], dim=1)

    def forward(self, mel: torch.Tensor) -> torch.Tensor:
        """Return logits, shape (batch, classes)."""
        return self.last(self.drop(self.embed(mel)))


def _folded(
    weight: torch.Tensor, norm: nn.BatchNorm1d | nn.BatchNorm2d
) -> tuple[np.ndarray, np.ndarray]:
    """Fold a batch norm into the weights before it: new weights and bias."""
    assert norm.running_var is not None
    assert norm.running_mean is not None
    gain = norm.weight / torch.sqrt(norm.running_var + norm.eps)
    folded = weight * gain.reshape(-1, *([1] * (weight.dim() - 1)))
    bias = norm.bias - norm.running_mean * gain
    return folded.detach().cpu().numpy(), bias.detach().cpu().numpy()


def export_arrays(net: SpokenWordNet) -> dict[str, np.ndarray]:
    """Return the arrays that `voicecheck.speech.network.model` reads."""
    arrays: dict[str, np.ndarray] = {}

    def put(name: str, pair: tuple[np.ndarray, np.ndarray]) -> None:
        arrays[f"{name}.weight"], arrays[f"{name}.bias"] = pair

    put("first", _folded(net.first.weight, net.norm0))
    put("mix", _folded(net.mix.weight, net.norm_mix))
    for index, block in enumerate(net.blocks):
        assert isinstance(block, Block)
        put(f"block{index}.depthwise", _folded(block.depthwise.weight, block.norm1))
        put(f"block{index}.pointwise", _folded(block.pointwise.weight, block.norm2))
    arrays["last.weight"] = net.last.weight.detach().cpu().numpy()
    arrays["last.bias"] = net.last.bias.detach().cpu().numpy()
    arrays["dilations"] = np.array(DILATIONS)
    arrays["halved_after"] = np.array([HALVED_AFTER])
    return {name: np.ascontiguousarray(a) for name, a in arrays.items()}
