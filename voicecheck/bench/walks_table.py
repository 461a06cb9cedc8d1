"""Say in text what the simulated walks have shown."""

from __future__ import annotations

from voicecheck.bench.walks_result import Cell, ListedWrong, WalksResult

__all__ = ["as_text"]

_HEAD = (
    "noise and SNR",
    "walks",
    "answers",
    "wrong",
    "hidden",
    "at most",
    "turns",
    "95 %",
    "least",
    "goal",
    "given up",
    "pauses",
)


def as_text(result: WalksResult) -> str:
    """Return the table, what its columns mean, and every wrong entry."""
    parts = []
    for side in dict.fromkeys(cell.side for cell in result.cells):
        rows = [_row(cell) for cell in result.cells if cell.side == side]
        parts.append(f"{_about(side)}\n\n{_table(rows)}")
    parts.append(
        "wrong: entries in final records that are not what the operator meant; hidden: "
        "a defect or\nleak among them recorded as good; at most: upper end of the "
        "share wrong, 95 % (3/n where\nnothing is wrong); turns: per checkpoint "
        "answered, with bootstrap interval; least: if every\nword had been heard "
        "surely.\n"
        f"Operator model: {result.operator_model}"
    )
    parts += [_wrong(number, one) for number, one in enumerate(result.wrong, 1)]
    return "\n\n".join(parts)


def _about(side: str) -> str:
    if side == "judging":
        return "Judging voices: nothing shipped was tuned on them."
    return (
        "Tuning voices: the program was tuned on their families; real strangers will "
        "be heard worse."
    )


def _row(cell: Cell) -> tuple[str, ...]:
    return (
        cell.condition,
        f"{cell.walks}" + (f" ({cell.abandoned} broken off)" if cell.abandoned else ""),
        str(cell.answers),
        str(cell.wrong),
        str(cell.hidden_findings),
        f"{cell.wrong_at_most:.2%}",
        f"{cell.turns:.2f}",
        f"{cell.turns_low:.2f}-{cell.turns_high:.2f}",
        f"{cell.least_turns:.2f}",
        f"{cell.goal_turns:.2f}" if cell.goal_turns else "",
        str(cell.given_up),
        str(cell.pauses),
    )


def _table(rows: list[tuple[str, ...]]) -> str:
    lines = [_HEAD, tuple("-" * len(name) for name in _HEAD), *rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(_HEAD))]
    text = []
    for line in lines:
        cells = zip(line, widths, strict=True)
        text.append("  ".join(cell.ljust(width) for cell, width in cells).rstrip())
    return "\n".join(text)


def _wrong(number: int, one: ListedWrong) -> str:
    entry = one.entry
    manner = "objects" if one.objects else "never objects"
    path = "\n".join(f"    {line}" for line in entry.path)
    hidden = " HIDDEN FINDING" if entry.hidden_finding else ""
    return (
        f"Wrong {number}:{hidden} {entry.checkpoint}, {one.condition}, "
        f"walk {one.walk}, {one.voice}, operator {manner}\n"
        f"  meant {entry.meant}\n  recorded {entry.recorded}\n{path}"
    )
