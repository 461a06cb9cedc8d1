"""The network for training, and its export with batch norms folded in.

Twins: two networks of one shape side by side, which share nothing but the
sounds that they learn from. What they say together is the mean of their
logits; strangers' voices, on which one alone errs with confidence, they judge
better and more modestly. Side by side means groups of convolutions.

Each twin: log-mel input, one small 2-D convolution, eight depthwise-separable
blocks over time with residuals and channel gates, mean and max pooling, one
linear layer for the phrases; and on the way, after the fifth block, one linear
layer for phones at each step of 20 ms.

Sources: depthwise-separable blocks over time after Zhang et al. 2017 ("Hello
Edge"); channel gates after Hu et al. 2018 ("Squeeze-and-Excitation Networks"); several
networks against overconfidence: Lakshminarayanan et al. 2017 ("Simple and
Scalable Predictive Uncertainty Estimation using Deep Ensembles");
phones by connectionist temporal classification, Graves et al. 2006.
"""

from __future__ import annotations

import numpy as np
import torch
from torch import nn

from voicecheck.bench.training.depthwise import Depthwise
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

__all__ = ["DILATIONS", "TWINS", "SpokenWordNet", "TorchLogMel", "export_arrays"]

TWINS = 2
FIRST = 24
"""Channels of the first layer, of each twin; likewise below."""
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
        wide = TWINS * WIDTH
        self.depthwise = Depthwise(wide, KERNEL, dilation)
        self.norm1 = nn.BatchNorm1d(wide)
        self.pointwise = nn.Conv1d(wide, wide, 1, groups=TWINS, bias=False)
        self.norm2 = nn.BatchNorm1d(wide)
        self.squeeze = nn.Conv1d(wide, TWINS * GATE, 1, groups=TWINS)
        self.excite = nn.Conv1d(TWINS * GATE, wide, 1, groups=TWINS)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Add what the block finds to what came in."""
        y = torch.relu(self.norm1(self.depthwise(x)))
        y = self.norm2(self.pointwise(y))
        pooled = y.mean(dim=2, keepdim=True)
        gate = self.excite(torch.relu(self.squeeze(pooled))).sigmoid()
        return torch.relu(x + y * gate)


class SpokenWordNet(nn.Module):
    """Features to logits of phrases and of phones, by each twin for itself."""

    def __init__(self, classes: int) -> None:
        """Build for a number of classes."""
        super().__init__()
        self.classes = classes
        wide = TWINS * WIDTH
        self.first = nn.Conv2d(
            TWINS, TWINS * FIRST, 3, stride=(2, 1), padding=1, groups=TWINS, bias=False
        )
        self.norm0 = nn.BatchNorm2d(TWINS * FIRST)
        self.mix = nn.Conv1d(
            TWINS * FIRST * BANDS // 2, wide, 1, groups=TWINS, bias=False
        )
        self.norm_mix = nn.BatchNorm1d(wide)
        self.blocks = nn.ModuleList(Block(d) for d in DILATIONS)
        self.phones = nn.Conv1d(wide, TWINS * len(SYMBOLS), 1, groups=TWINS)
        self.drop = nn.Dropout(0.15)
        self.last = nn.Conv1d(TWINS * 2 * WIDTH, TWINS * classes, 1, groups=TWINS)

    def forward(self, mel: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """Turn features (batch, TWINS, BANDS, time) into logits.

        Returns:
            Of phrases (batch, TWINS, classes), of phones (batch, TWINS,
            symbols, time // 2).
        """
        size = mel.shape[0]
        x = torch.relu(self.norm0(self.first(mel)))
        x = torch.relu(self.norm_mix(self.mix(x.flatten(1, 2))))
        phones = x
        for index, block in enumerate(self.blocks):
            if index == HALVED_AFTER:
                x = nn.functional.avg_pool1d(x, 2)
            x = block(x)
            if index + 1 == PHONES_AFTER:
                phones = self.phones(self.drop(x))
        of_each = x.unflatten(1, (TWINS, WIDTH))
        pooled = torch.cat([of_each.mean(dim=3), of_each.amax(dim=3)], dim=2)
        logits = self.last(self.drop(pooled).reshape(size, -1, 1))
        return (
            logits.reshape(size, TWINS, self.classes),
            phones.unflatten(1, (TWINS, len(SYMBOLS))),
        )


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


def _plain(layer: nn.Conv1d) -> tuple[np.ndarray, np.ndarray]:
    assert layer.bias is not None
    return layer.weight.detach().cpu().numpy(), layer.bias.detach().cpu().numpy()


def _together(layer: nn.Conv1d) -> tuple[np.ndarray, np.ndarray]:
    """One layer over the features of all twins whose output is their mean."""
    weight, bias = _plain(layer)
    of_each = weight[:, :, 0].reshape(TWINS, -1, weight.shape[1])
    return (
        of_each.transpose(1, 0, 2).reshape(of_each.shape[1], -1) / TWINS,
        bias.reshape(TWINS, -1).mean(axis=0),
    )


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
    weight, bias = _together(net.phones)
    put("phones", (weight[:, :, None], bias))
    put("last", _together(net.last))
    arrays["dilations"] = np.array(DILATIONS)
    arrays["halved_after"] = np.array([HALVED_AFTER])
    arrays["phones_after"] = np.array([PHONES_AFTER])
    arrays["twins"] = np.array([TWINS])
    return {name: np.ascontiguousarray(a) for name, a in arrays.items()}
