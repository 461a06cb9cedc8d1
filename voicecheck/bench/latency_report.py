"""The latency benchmark as text and as a picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from voicecheck.bench.hearing_table import aligned
from voicecheck.bench.latency_result import LatencyResult, Part
from voicecheck.bench.plotting import pyplot

__all__ = ["draw_latency", "histogram", "latency_text"]

_BIN_S = 0.05
_BAR = 40
INCLUDED = (
    "From the last sample of the word to the first sample of the read-back given "
    "to the sound device: the wait of the end-pointing, decoding, the confirmation "
    "policy, and the tone that opens every read-back; the words come after it. The "
    "loudspeaker's buffer is the one that is asked for: drivers may give a longer "
    "one. The microphone gives its blocks of 32 ms at once, whatever its buffer."
)


def latency_text(result: LatencyResult) -> str:
    """Return tables, histogram and goals."""
    header = ["milliseconds", "n", "p50", "p95", "p99"]
    noises = [["by noise, all", "n", "p50", "p95", "p99"], *map(_row, result.by_noise)]
    return "\n\n".join(
        [
            aligned([header, *map(_row, result.parts)]),
            aligned(noises),
            histogram(result.answers_s, result.goals["answer_s"]),
            _goals(result),
            f"Looks of the recogniser an answer: p50 {result.looks.p50_s:.0f}, p95 "
            f"{result.looks.p95_s:.0f}; with what was thrown away it took "
            f"{result.all_looks_factor:.3f} of real time. Words with a pause inside "
            f"that could have ended them: {result.long_pauses}.",
            INCLUDED,
        ]
    )


def histogram(answers_s: tuple[float, ...], goal_s: float) -> str:
    """Return bars of text, one for each 50 ms; the goal is marked."""
    bins = np.floor(np.array(answers_s) / _BIN_S + 1e-9).astype(int)
    first, last = int(bins.min()), int(bins.max())
    counts = [int(np.sum(bins == b)) for b in range(first, last + 1)]
    lines = []
    for place, count in zip(range(first, last + 1), counts, strict=True):
        bar = "#" * round(_BAR * count / max(counts))
        mark = "  < goal, p95" if place == round(goal_s / _BIN_S) - 1 else ""
        begins, ends = 1000 * place * _BIN_S, 1000 * (place + 1) * _BIN_S
        lines.append(f"{begins:5.0f}-{ends:<5.0f} {count:4d}  {bar}{mark}")
    return "\n".join(lines)


def draw_latency(result: LatencyResult, path: Path) -> bool:
    """Draw the distribution and write a PNG; False without matplotlib."""
    plt = pyplot()
    if plt is None:
        return False
    figure, axes = plt.subplots(figsize=(9, 5))
    answers_ms = 1000 * np.array(result.answers_s)
    axes.hist(answers_ms, bins=30, color="#56B4E9", edgecolor="black")
    whole = next(p for p in result.parts if p.name.startswith("all: "))
    for value_s, name, style in (
        (result.goals["answer_s"], "goal for p95", "-"),
        (whole.p50_s, "p50", ":"),
        (whole.p95_s, "p95", "--"),
    ):
        label = f"{name}: {1000 * value_s:.0f} ms"
        axes.axvline(1000 * value_s, color="black", linestyle=style, label=label)
    axes.set_xlabel("ms from the end of the word to the read-back")
    axes.set_ylabel("answers")
    axes.legend()
    figure.tight_layout()
    figure.savefig(path, dpi=110)
    plt.close(figure)
    return True


def _row(part: Part) -> list[str]:
    shares = (part.p50_s, part.p95_s, part.p99_s)
    return [part.name, str(part.count), *(f"{1000 * s:.0f}" for s in shares)]


def _goals(result: LatencyResult) -> str:
    whole = next(p for p in result.parts if p.name.startswith("all: "))
    measured = (
        ("read-back, p95, ms", 1000 * whole.p95_s, 1000 * result.goals["answer_s"], 0),
        (
            "decoding, of real time on one core",
            result.real_time_factor,
            result.goals["real_time_factor"],
            3,
        ),
        ("resident memory, MB", result.resident_mb, result.goals["resident_mb"], 0),
    )
    rows = [["goal", "measured", "at most", ""]]
    for name, value, goal, places in measured:
        verdict = "met" if value <= goal else "MISSED"
        rows.append([name, f"{value:.{places}f}", f"{goal:g}", verdict])
    rows.append(["words that the end-pointing missed", str(result.missed), "", ""])
    return aligned(rows)
