"""The hearing benchmark as text: aligned for a terminal, or as Markdown."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.bench.goals import goal_of
from voicecheck.bench.hearing_result import (
    Cell,
    EngineResult,
    HearingResult,
    Rate,
    Reached,
)

__all__ = ["aligned", "as_markdown", "as_text"]

Table = list[list[str]]
_EXPLAINED = (
    "Share of command trials heard right and taken, at once or by read-back, per "
    "cent, with the Wilson 95 % interval. Goals are for voicecheck: of a stranger, "
    "of an enrolled voice. * the figure misses its goal; ? the goal lies within the "
    'interval. Under "5 dB less" each noise is 5 dB louder.'
)


def accuracy(result: HearingResult) -> Table:
    """Return the table of noises, with a header row."""
    header = ["noise", "earlier bare", "earlier RNNoise", "goal", "goal enrolled"]
    table = [header + [f"{e.title}" for e in result.engines]]
    conditions = dict.fromkeys(c.condition for e in result.engines for c in e.cells)
    louder = False
    for condition in conditions:
        goal = goal_of(condition)
        if goal.stranger is None and not louder:
            louder = True
            table.append(["5 dB less:"] + [""] * (len(table[0]) - 1))
        shares = (goal.bare, goal.denoised, goal.stranger, goal.enrolled)
        row = [condition, *("" if s is None else _percent(s) for s in shares)]
        for engine in result.engines:
            cell = next((c for c in engine.cells if c.condition == condition), None)
            row.append("-" if cell is None else _share(cell.right))
        table.append(row)
    return table


def outcomes(result: HearingResult) -> Table:
    """Return what became of all command trials, engine by engine."""
    table = [
        ["of all command trials", "n", "taken at once", "read back, right", "refused",
         "wrong, read back", "wrong, taken", "no speech found", "likeliest right"]
    ]  # fmt: skip
    for engine in result.engines:
        cells = engine.cells
        n = sum(c.right.trials for c in cells)
        right = sum(c.right.count for c in cells)
        at_once = _sum(cells, "accepted_right")
        counts = (
            at_once,
            right - at_once,
            _sum(cells, "refused"),
            _sum(cells, "wrong") - _sum(cells, "wrong_accepted"),
            _sum(cells, "wrong_accepted"),
            _sum(cells, "missed"),
            _sum(cells, "best_right"),
        )
        shares = [_percent(c / n) if n else "-" for c in counts]
        table.append([engine.title, str(n), *shares])
    return table


def mistakes(result: HearingResult) -> Table:
    """Return the mistakes that count, at 0 dB and better."""
    engines = result.engines
    table = [["at 0 dB and better, %", "goal", *(e.title for e in engines)]]
    rows: list[tuple[str, list[Rate | None]]] = [
        (
            "wrong phrase taken, no read-back",
            [e.mistakes.wrong_accepted for e in engines],
        ),
        (
            "defect, leak taken as good",
            [e.mistakes.fault_as_good_accepted for e in engines],
        ),
        ("  read-backs included", [e.mistakes.fault_as_good_taken for e in engines]),
        ("no answer, taken as one", [e.mistakes.foreign_accepted for e in engines]),
    ]
    kinds = dict.fromkeys(k for e in engines for k in e.mistakes.foreign_by_kind)
    for kind in kinds:
        found = [e.mistakes.foreign_by_kind.get(kind) for e in engines]
        rows.append((f"  {kind}", found))
    rows.append(("  read back", [e.mistakes.foreign_read_back for e in engines]))
    for name, rates in rows:
        goal = next((r.goal for r in rates if r and r.goal is not None), None)
        shown = "" if goal is None else f"{100 * goal:.2f}"
        table.append([name, shown, *(_mistake(r) for r in rates)])
    table.append(
        ["calibration error", "0.050", *(_calibration(e) for e in engines)],
    )
    return table


def as_text(result: HearingResult) -> str:
    """Return all tables for a terminal."""
    tables = (accuracy(result), mistakes(result), outcomes(result))
    parts = [aligned(table) for table in tables]
    return "\n\n".join([*parts, _EXPLAINED, *result.notes])


def as_markdown(result: HearingResult) -> str:
    """Return all tables as Markdown."""
    parts = [
        "# Hearing",
        f"Voices judged ({result.split}): {', '.join(result.families)}, "
        f"{len(result.voices)} settings. {result.trials_per_noise} command trials "
        f"and {result.foreign_per_noise} others in each noise, seed {result.seed}. "
        f"voicecheck {result.voicecheck}, network {result.network}.",
        markdown(accuracy(result)),
        _EXPLAINED.replace("* ", "\\* "),
        markdown(mistakes(result)),
        markdown(outcomes(result)),
        *(f"- {note}" for note in result.notes),
    ]
    return "\n\n".join(parts) + "\n"


def aligned(table: Table) -> str:
    """Return a table in columns; wide headers are broken into lines."""
    header = [cell.split() if i else [cell] for i, cell in enumerate(table[0])]
    height = max(len(words) for words in header)
    padded = [[""] * (height - len(words)) + words for words in header]
    lines = [list(line) for line in zip(*padded, strict=True)] + table[1:]
    widths = [max(len(row[i]) for row in lines) for i in range(len(header))]

    def line(row: Sequence[str]) -> str:
        cells = [c.rjust(w) if i else c.ljust(w) for i, (c, w) in
                 enumerate(zip(row, widths, strict=True))]  # fmt: skip
        return "  ".join(cells).rstrip()

    return "\n".join(line(row) for row in lines)


def markdown(table: Table) -> str:
    """Return a table as Markdown."""
    rows = ["| " + " | ".join(row) + " |" for row in table]
    return "\n".join([rows[0], "|" + " --- |" * len(table[0]), *rows[1:]])


def _percent(share: float) -> str:
    return f"{100 * share:.1f}".removesuffix(".0")


def _share(rate: Rate) -> str:
    if rate.share is None:
        return "-"
    low, high = 100 * rate.low, 100 * rate.high
    return (
        f"{_percent(rate.share)} ({low:.0f}-{high:.0f} of {rate.trials}){_mark(rate)}"
    )


def _mistake(rate: Rate | None) -> str:
    if rate is None or rate.share is None:
        return "-"
    return (
        f"{100 * rate.share:.2f} ({rate.count}/{rate.trials}, "
        f"<{100 * rate.high:.1f}){_mark(rate)}"
    )


def _calibration(engine: EngineResult) -> str:
    found = engine.calibration
    if found is None:
        return "states none"
    return f"{found.error:.3f}{'*' if found.error > found.goal else ''}"


def _mark(rate: Rate) -> str:
    match rate.reached:
        case Reached.MISSED:
            return "*"
        case Reached.SEEMS_MISSED:
            return "*?"
        case Reached.SEEMS_MET:
            return "?"
        case _:
            return ""


def _sum(cells: Sequence[Cell], name: str) -> int:
    return sum(int(getattr(cell, name)) for cell in cells)
