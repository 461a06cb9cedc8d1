"""Matplotlib, where it is installed, drawing into files."""

from __future__ import annotations

import importlib.util
from typing import Any

__all__ = ["NO_PLOT", "pyplot"]

NO_PLOT = "no plot: matplotlib is missing; pip install 'voicecheck[plot]' brings it"


def pyplot() -> Any | None:
    """Return the library, or None where it is not installed."""
    if importlib.util.find_spec("matplotlib") is None:
        return None
    import matplotlib as mpl  # noqa: PLC0415

    mpl.use("Agg")
    from matplotlib import pyplot as plt  # noqa: PLC0415

    return plt
