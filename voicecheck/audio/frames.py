"""The one shape of sound inside the program: float32, mono, 16 kHz."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

__all__ = ["RATE_HZ", "Frames"]

RATE_HZ = 16_000
"""Samples a second everywhere inside the program."""

Frames: TypeAlias = NDArray[np.float32]
"""Mono samples, shape (n,), nominally within [-1, 1]."""
