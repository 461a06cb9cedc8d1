"""The network for training, and its export with batch norms folded in.

Log-mel input, one small 2-D convolution, eight depthwise-separable blocks over
time with residuals and channel gates, mean and max pooling, one linear layer
for the phrases; and on the way, after the fifth block, one linear layer for
phones at each step of 20 ms.

Sources: depthwise-separable blocks over time after Zhang et al. 2017 ("Hello
Edge"); channel gates after Hu et al. 2018 ("Squeeze-and-Excitation Networks");
phones by connectionist temporal classification, Graves et al. 2006.
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
from voicecheck.speech.network.phones import SYMBOLS

__all__ = ["DILATIONS", "SpokenWordNet", "TorchLogMel", "export_arrays"]

FIRST = 24
WIDTH = 264
GATE = 33
KERNEL = 9
DILATIONS = (1, 1, 1, 2, 2, 2, 4, 4)
HALVED_AFTER = 2
"""Blocks before the time step doubles to 20 ms."""
PHONES_AFTER = 5
"""Blocks before the phones are read: those that see less than a syllable or two."""


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
    """Depthwise over time, pointwise over channels, gates, residual."""

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
        self.squeeze = nn.Linear(WIDTH, GATE)
        self.excite = nn.Linear(GATE, WIDTH)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Add what the block finds to what came in."""
        y = torch.relu(self.norm1(self.depthwise(x)))
        y = self.norm2(self.pointwise(y))
        gate = self.excite(torch.relu(self.squeeze(y.mean(dim=2)))).sigmoid()
        return torch.relu(x + y * gate[:, :, None])


class SpokenWordNet(nn.Module):
    """Features to logits of phrases and of phones."""

    def __init__(self, classes: int) -> None:
        """Build for a number of classes."""
        super().__init__()
        self.first = nn.Conv2d(1, FIRST, 3, stride=(2, 1), padding=1, bias=False)
        self.norm0 = nn.BatchNorm2d(FIRST)
        self.mix = nn.Conv1d(FIRST * BANDS // 2, WIDTH, 1, bias=False)
        self.norm_mix = nn.BatchNorm1d(WIDTH)
        self.blocks = nn.ModuleList(Block(d) for d in DILATIONS)
        self.phones = nn.Conv1d(WIDTH, len(SYMBOLS), 1)
        self.drop = nn.Dropout(0.15)
        self.last = nn.Linear(2 * WIDTH, classes)

    def embed(self, mel: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """Return pooled features, shape (batch, 2 * WIDTH), and phones over time."""
        x = torch.relu(self.norm0(self.first(mel[:, None])))
        x = torch.relu(self.norm_mix(self.mix(x.flatten(1, 2))))
        phones = x
        for index, block in enumerate(self.blocks):
            if index == HALVED_AFTER:
                x = nn.functional.avg_pool1d(x, 2)
            x = block(x)
            if index + 1 == PHONES_AFTER:
                phones = self.phones(self.drop(x))
        return torch.cat([x.mean(dim=2), x.amax(dim=2)], dim=1), phones

    def forward(self, mel: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """Return logits of phrases (batch, classes) and of phones."""
        pooled, phones = self.embed(mel)
        return self.last(self.drop(pooled)), phones


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


def _plain(layer: nn.Linear | nn.Conv1d) -> tuple[np.ndarray, np.ndarray]:
    assert layer.bias is not None
    return layer.weight.detach().cpu().numpy(), layer.bias.detach().cpu().numpy()


def export_arrays(net: SpokenWordNet) -> dict[str, np.ndarray]:
    """Return the arrays that `onnx_graph.graph_of` makes a network of."""
    arrays: dict[str, np.ndarray] = {}

    def put(name: str, pair: tuple[np.ndarray, np.ndarray]) -> None:
        arrays[f"{name}.weight"], arrays[f"{name}.bias"] = pair

    put("first", _folded(net.first.weight, net.norm0))
    put("mix", _folded(net.mix.weight, net.norm_mix))
    for index, block in enumerate(net.blocks):
        assert isinstance(block, Block)
        put(f"block{index}.depthwise", _folded(block.depthwise.weight, block.norm1))
        put(f"block{index}.pointwise", _folded(block.pointwise.weight, block.norm2))
        put(f"block{index}.squeeze", _plain(block.squeeze))
        put(f"block{index}.excite", _plain(block.excite))
    put("phones", _plain(net.phones))
    put("last", _plain(net.last))
    arrays["dilations"] = np.array(DILATIONS)
    arrays["halved_after"] = np.array([HALVED_AFTER])
    arrays["phones_after"] = np.array([PHONES_AFTER])
    return {name: np.ascontiguousarray(a) for name, a in arrays.items()}
