"""The hearing benchmark as a picture: accuracy by noise, and reliability."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from voicecheck.bench.goals import goal_of
from voicecheck.bench.hearing_result import HearingResult
from voicecheck.bench.plotting import pyplot

__all__ = ["draw_hearing"]

_MARKERS = "osv^Dx"
_COLOURS = ("#0072B2", "#E69F00", "#009E73", "#CC79A7", "#D55E00", "#000000")
"""Okabe and Ito's palette, which colour-blind eyes can tell apart."""


def draw_hearing(result: HearingResult, path: Path) -> bool:
    """Draw and write a PNG; False without matplotlib."""
    plt = pyplot()
    if plt is None:
        return False
    figure, axes = plt.subplots(1, 2, figsize=(15, 6.5), width_ratios=(3, 1.5))
    _draw_accuracy(axes[0], result)
    _draw_reliability(axes[1], result)
    figure.tight_layout()
    figure.savefig(path, dpi=110)
    plt.close(figure)
    return True


def _draw_accuracy(axes: Any, result: HearingResult) -> None:
    names = list(dict.fromkeys(c.condition for e in result.engines for c in e.cells))
    for engine, marker, colour in zip(result.engines, _MARKERS, _COLOURS, strict=False):
        cells = [c for c in engine.cells if c.right.trials]
        x = [names.index(c.condition) for c in cells]
        y = [100 * c.right.count / c.right.trials for c in cells]
        axes.plot(x, y, marker=marker, color=colour, linewidth=1, label=engine.title)
        low = [100 * c.right.low for c in cells]
        high = [100 * c.right.high for c in cells]
        axes.vlines(x, low, high, color=colour, alpha=0.35)
    for name, style in (("stranger", "_"), ("enrolled", "+")):
        goals = [getattr(goal_of(n), name) for n in names]
        places = [i for i, g in enumerate(goals) if g is not None]
        axes.scatter(
            places,
            [100 * goals[i] for i in places],
            marker=style,
            s=160,
            color="grey",
            label=f"goal, {name}",
        )
    axes.set_xticks(range(len(names)), names, rotation=60, ha="right")
    axes.set_ylabel("heard right and taken, % (bars: Wilson 95 %)")
    axes.set_ylim(0, 101)
    axes.grid(alpha=0.3)
    axes.legend(fontsize=8)


def _draw_reliability(axes: Any, result: HearingResult) -> None:
    axes.plot([0, 1], [0, 1], color="grey", linestyle=":")
    for engine, marker, colour in zip(result.engines, _MARKERS, _COLOURS, strict=False):
        found = engine.calibration
        if found is not None:
            axes.plot(
                [b.confidence for b in found.bins],
                [b.right for b in found.bins],
                marker=marker,
                color=colour,
                label=f"{engine.title}, error {found.error:.3f}",
            )
    axes.set_xlabel("confidence")
    axes.set_ylabel("share right")
    axes.grid(alpha=0.3)
    if any(engine.calibration for engine in result.engines):
        axes.legend(fontsize=8)
