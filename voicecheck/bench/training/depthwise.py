"""Convolution over time of each channel by itself, quick on graphics processors.

PyTorch's own kernel takes ten times as long as it takes to read and write the
data, and it was most of the training. On any other processor PyTorch's is used.
"""

from __future__ import annotations

import importlib.util
from typing import Any

import torch
from torch import nn

__all__ = ["Depthwise"]

_SPLITS = 4
"""Parts of a batch that add up the slope of the weights by themselves."""

if importlib.util.find_spec("triton") is not None:
    import triton
    import triton.language as tl

    @triton.jit
    def _convolve(
        x, w, y, steps, channels, dilation,
        flip: tl.constexpr, taps: tl.constexpr, block: tl.constexpr,
    ):  # fmt: skip
        """One row: y[t] is the sum over k of w[k] x[t + (k - taps // 2) dilation]."""
        row = tl.program_id(0)
        t = tl.arange(0, block)
        total = tl.zeros([block], tl.float32)
        for k in tl.static_range(taps):
            at = t + (k - taps // 2) * dilation
            there = (t < steps) & (at >= 0) & (at < steps)
            value = tl.load(x + row * steps + at, mask=there, other=0.0)
            tap = taps - 1 - k if flip else k
            weight = tl.load(w + (row % channels) * taps + tap)
            total += value.to(tl.float32) * weight
        tl.store(y + row * steps + t, total, mask=t < steps)

    @triton.jit
    def _slope(
        x, dy, dw, steps, channels, batch, dilation,
        taps: tl.constexpr, rows: tl.constexpr, block: tl.constexpr,
        splits: tl.constexpr,
    ):  # fmt: skip
        """Slope of the weights of one channel, over one part of the batch."""
        channel, split = tl.program_id(0), tl.program_id(1)
        k, t = tl.arange(0, rows), tl.arange(0, block)
        at = t[None, :] + (k[:, None] - taps // 2) * dilation
        there = (t[None, :] < steps) & (at >= 0) & (at < steps) & (k[:, None] < taps)
        total = tl.zeros([rows, block], tl.float32)
        for index in range(split, batch, splits):
            row = (index * channels + channel) * steps
            value = tl.load(x + row + at, mask=there, other=0.0).to(tl.float32)
            slope = tl.load(dy + row + t, mask=t < steps, other=0.0).to(tl.float32)
            total += value * slope[None, :]
        out = dw + (split * channels + channel) * taps + k
        tl.store(out, tl.sum(total, axis=1), mask=k < taps)


class _Convolution(torch.autograd.Function):
    """The kernels as one step that PyTorch can go backwards through."""

    @staticmethod
    def forward(
        ctx: Any, x: torch.Tensor, weight: torch.Tensor, dilation: int
    ) -> torch.Tensor:
        x, weight = x.contiguous(), weight.contiguous()
        ctx.save_for_backward(x, weight)
        ctx.dilation = dilation
        return _run(x, weight, dilation, flip=False)

    @staticmethod
    def backward(ctx: Any, *slopes: torch.Tensor) -> Any:
        x, weight = ctx.saved_tensors
        slope = slopes[0].contiguous()
        batch, channels, steps = x.shape
        taps = weight.shape[2]
        parts = torch.empty(
            _SPLITS, channels, taps, device=x.device, dtype=torch.float32
        )
        _slope[channels, _SPLITS](
            x, slope, parts, steps, channels, batch, ctx.dilation,
            taps=taps, rows=triton.next_power_of_2(taps),
            block=triton.next_power_of_2(steps), splits=_SPLITS,
        )  # fmt: skip
        of_weight = parts.sum(dim=0)[:, None].to(weight.dtype)
        return _run(slope, weight, ctx.dilation, flip=True), of_weight, None


def _run(
    x: torch.Tensor, weight: torch.Tensor, dilation: int, *, flip: bool
) -> torch.Tensor:
    batch, channels, steps = x.shape
    out = torch.empty_like(x)
    _convolve[(batch * channels,)](
        x, weight, out, steps, channels, dilation,
        flip=flip, taps=weight.shape[2], block=triton.next_power_of_2(steps),
        num_warps=2,
    )  # fmt: skip
    return out


class Depthwise(nn.Conv1d):
    """`Conv1d` with as many groups as channels, length kept, without a bias."""

    def __init__(self, channels: int, taps: int, dilation: int) -> None:
        """Build; the number of taps is odd."""
        super().__init__(
            channels, channels, taps, padding=dilation * (taps // 2),
            dilation=dilation, groups=channels, bias=False,
        )  # fmt: skip

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Convolve (batch, channels, time)."""
        if x.is_cuda:
            found: torch.Tensor = _Convolution.apply(x, self.weight, self.dilation[0])
            return found
        return super().forward(x)
