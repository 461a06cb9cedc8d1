"""The hearing benchmark as a table and a plot."""

from __future__ import annotations

import importlib.util
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from voicecheck.bench.hearing import EngineResult
    from voicecheck.bench.measure import Cell

__all__ = ["draw", "table"]


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f}" if whole else "-"


def _cell(cell: Cell) -> str:
    return (
        f"{_percent(cell.right, cell.trials)} / "
        f"{_percent(cell.rejected, cell.trials)} / "
        f"{_percent(cell.wrong, cell.trials)} "
        f"({_percent(cell.best_right, cell.trials)})"
    )


def table(results: Sequence[EngineResult]) -> str:
    """Return the results as Markdown.

    A cell reads: right and accepted / rejected / wrong and accepted, per cent,
    and in brackets how often the likeliest phrase was right had nothing been
    rejected.
    """
    lines = [
        "right / rejected / wrong (likeliest right), per cent",
        "",
        "| noise | " + " | ".join(r.engine for r in results) + " |",
        "|" + " --- |" * (len(results) + 1),
    ]
    for row in zip(*(r.cells for r in results), strict=True):
        lines.append(f"| {row[0].condition} | " + " | ".join(map(_cell, row)) + " |")
    lines += ["", *(_summary(result) for result in results)]
    return "\n".join(lines)


def _summary(result: EngineResult) -> str:
    usable = [c for c in result.cells if not _below_zero(c.condition)]
    trials = sum(c.trials for c in usable)
    others = sum(c.others for c in usable)
    error = result.calibration_error
    wrong = _percent(sum(c.wrong for c in usable), trials)
    taken = _percent(sum(c.others_accepted for c in usable), others)
    stated = "not stated" if error is None else f"{error:.3f}"
    return (
        f"- {result.engine}: accepts from {result.accept:.2f}; at 0 dB and better "
        f"{trials} trials, wrong accepts {wrong} %, defect or leak as good "
        f"{sum(c.fault_as_good for c in usable)} times; other speech accepted "
        f"{taken} % of {others}; calibration error {stated}; "
        f"{len(result.speakers)} speakers"
    )


def _below_zero(condition: str) -> bool:
    return condition != "quiet" and float(condition.split()[1]) < 0


def draw(results: Sequence[EngineResult], path: Path) -> bool:
    """Draw accuracy by noise, and reliability; False without matplotlib."""
    if importlib.util.find_spec("matplotlib") is None:
        return False
    import matplotlib as mpl  # noqa: PLC0415

    mpl.use("Agg")
    from matplotlib import pyplot as plt  # noqa: PLC0415

    figure, axes = plt.subplots(1, 2, figsize=(14, 6), width_ratios=(3, 1.4))
    _draw_accuracy(axes[0], results)
    _draw_reliability(axes[1], results)
    figure.tight_layout()
    figure.savefig(path, dpi=120)
    plt.close(figure)
    return True


def _draw_accuracy(axes: Any, results: Sequence[EngineResult]) -> None:
    names = [c.condition for c in results[0].cells]
    for result, marker in zip(results, "osv^Dx", strict=False):
        shares = [100 * c.right / max(1, c.trials) for c in result.cells]
        axes.plot(names, shares, marker=marker, linewidth=1, label=result.engine)
    axes.set_ylabel("right and accepted, %")
    axes.set_ylim(0, 101)
    axes.tick_params(axis="x", rotation=60)
    axes.grid(alpha=0.3)
    axes.legend()


def _draw_reliability(axes: Any, results: Sequence[EngineResult]) -> None:
    axes.plot([0, 1], [0, 1], color="grey", linestyle=":")
    for result, marker in zip(results, "osv^Dx", strict=False):
        if result.bins:
            axes.plot(
                [b.confidence for b in result.bins],
                [b.accuracy for b in result.bins],
                marker=marker,
                label=f"{result.engine}, ECE {result.calibration_error:.3f}",
            )
    axes.set_xlabel("confidence")
    axes.set_ylabel("share right")
    axes.legend()
