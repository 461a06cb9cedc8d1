"""Other throats and other hurry, made in the features.

Resampling a clip moves pitch, tract length and tempo together. Warping the
mel axis moves the tract length alone, stretching the time axis the tempo alone.

Source: vocal tract length perturbation, Jaitly and Hinton 2013.
"""

from __future__ import annotations

import torch
from torch.nn import functional

__all__ = ["masked", "stretched", "warped"]

WIDEST = 0.15
"""Largest logarithm of the warp of the mel axis."""
SPREAD = 0.07
"""Its standard deviation."""
SLOWEST = 0.22
"""Largest logarithm of the stretch of time."""


def stretched(steps: int, generator: torch.Generator) -> int:
    """Draw a new length of time, in steps, for a whole batch of `steps`."""
    drawn = torch.rand(1, generator=generator, device=generator.device) * 2 - 1
    return int(steps * float((drawn * SLOWEST).exp()))


def warped(mel: torch.Tensor, length: int, generator: torch.Generator) -> torch.Tensor:
    """Warp each clip along the mel axis, and all along time.

    Args:
        mel: shape (batch, bands, time).
        length: of time afterwards.
        generator: source of chance, on the device of `mel`.

    Returns:
        Shape (batch, bands, length).
    """
    size, bands, _ = mel.shape
    device = mel.device
    drawn = torch.randn(size, generator=generator, device=device) * SPREAD
    warp = drawn.clamp(-WIDEST, WIDEST).exp()
    rows = torch.linspace(0, 1, bands, device=device)[None, :] * warp[:, None]
    # the top bands are pressed together rather than cut off
    rows = (
        torch.where(
            rows > 0.85,
            0.85 + (rows - 0.85) * 0.15 / (warp[:, None] - 0.85).clamp(min=0.05),
            rows,
        ).clamp(0, 1)
        * 2
        - 1
    )
    columns = torch.linspace(-1, 1, length, device=device)
    grid = torch.stack(
        [
            columns[None, None, :].expand(size, bands, length),
            rows[:, :, None].expand(size, bands, length),
        ],
        dim=3,
    )
    return functional.grid_sample(
        mel[:, None], grid, mode="bilinear", padding_mode="border", align_corners=True
    )[:, 0]


def masked(features: torch.Tensor, generator: torch.Generator) -> torch.Tensor:
    """Blank up to 5 neighbouring bands in half of the trials."""
    size, bands, _ = features.shape
    device = features.device
    start = torch.randint(bands, (size, 1, 1), generator=generator, device=device)
    width = torch.randint(-5, 6, (size, 1, 1), generator=generator, device=device)
    band = torch.arange(bands, device=device)[None, :, None]
    return features * ~((band >= start) & (band < start + width))
