"""The prompt and tone measurements as tables, JSON and a picture."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from voicecheck.audio.tones import Tone
from voicecheck.bench.plotting import NO_PLOT, pyplot
from voicecheck.bench.prompt_trials import can_stoi
from voicecheck.bench.prompts import NO_STOI, Gain, PromptResult, Row
from voicecheck.bench.tone_trials import ToneMargin
from voicecheck.hearing.masking import CLEAR_DB

__all__ = [
    "as_text",
    "to_data",
    "tone_data",
    "tone_table",
    "write_prompts",
]

_COLOURS = ("#0072B2", "#E69F00", "#009E73", "#CC79A7", "#D55E00", "#000000")
"""Okabe and Ito's palette, which colour-blind eyes can tell apart."""


def as_text(result: PromptResult) -> str:
    """Return one Markdown table for each noise.

    Each cell is a mean; behind it, for all but the usual, the mean change on the
    same trials and its standard error.
    """
    asked = result.asked
    parts = []
    for kind in asked.noises:
        lines = [
            f"{kind.value} noise, {asked.snr_db:g} dB, {asked.prompts} prompts, "
            f"recogniser {result.engine}",
            "",
            "| choice | way | SII | STOI | recogniser right | its probability |",
            "| --- | --- | --- | --- | --- | --- |",
        ]
        lines += [_line(row) for row in result.rows if row.noise is kind]
        parts.append("\n".join(lines))
    if not can_stoi():
        parts.append(NO_STOI)
    return "\n\n".join(parts)


def to_data(result: PromptResult) -> dict[str, Any]:
    """Return the result as JSON data."""
    asked = asdict(result.asked)
    return {
        "schema": "voicecheck.bench.prompts",
        "version": 1,
        "asked": {**asked, "noises": [kind.value for kind in result.asked.noises]},
        "engine": result.engine,
        "rows": [{**asdict(row), "noise": row.noise.value} for row in result.rows],
    }


def write_prompts(result: PromptResult, folder: Path) -> tuple[list[Path], str]:
    """Write prompts.json, prompts.md and, with matplotlib, prompts.png.

    Returns:
        What was written, and a hint where something is missing.
    """
    folder.mkdir(parents=True, exist_ok=True)
    data, text = folder / "prompts.json", folder / "prompts.md"
    data.write_text(json.dumps(to_data(result), indent=1) + "\n", encoding="utf-8")
    text.write_text(as_text(result) + "\n", encoding="utf-8")
    picture = folder / "prompts.png"
    if draw_prompts(result, picture):
        return [data, text, picture], ""
    return [data, text], NO_PLOT


def draw_prompts(result: PromptResult, path: Path) -> bool:
    """Draw the change by each way in each noise; False without matplotlib."""
    plt = pyplot()
    if plt is None:
        return False
    names = list(dict.fromkeys(row.way for row in result.rows if row.choice != "usual"))
    figure, axes = plt.subplots(1, 2, figsize=(13, 0.4 * len(names) + 2), sharey=True)
    panels = (
        (axes[0], "stoi", "change of STOI"),
        (axes[1], "right", "change, % right"),
    )
    for axis, field, title in panels:
        scale = 100 if field == "right" else 1
        kinds = result.asked.noises
        for place, kind in enumerate(kinds):
            shown = [
                (names.index(row.way), getattr(row, field))
                for row in result.rows
                if row.noise is kind and row.way in names and getattr(row, field)
            ]
            axis.errorbar(
                [scale * gain.change for _, gain in shown],
                [y + 0.12 * (place - len(kinds) / 2) for y, _ in shown],
                xerr=[scale * gain.error for _, gain in shown],
                fmt="osv^Dx"[place % 6],
                color=_COLOURS[place % 6],
                label=kind.value,
            )
        axis.axvline(0, color="grey", linewidth=0.8)
        axis.set_xlabel(f"{title} (bars: standard error)")
        axis.grid(alpha=0.3)
    axes[0].set_yticks(range(len(names)), names)
    axes[0].invert_yaxis()
    axes[1].legend(title="noise")
    figure.tight_layout()
    figure.savefig(path, dpi=110)
    plt.close(figure)
    return True


def tone_table(margins: Sequence[ToneMargin]) -> str:
    """Return margins as Markdown: a row for each noise, a column for each tone."""
    lines = [
        f"| noise | dBA at the ear | {' | '.join(tone.value for tone in Tone)} |",
        "|" + " --- |" * (2 + len(Tone)),
    ]
    for kind in dict.fromkeys(margin.noise for margin in margins):
        row = {m.tone: m for m in margins if m.noise is kind}
        level = next(iter(row.values())).noise_at_ear_dba
        cells = [_margin(row[tone].margin_db) for tone in Tone]
        lines.append(f"| {kind.value} | {level:.0f} | {' | '.join(cells)} |")
    return "\n".join(lines)


def tone_data(margins: Sequence[ToneMargin]) -> list[dict[str, Any]]:
    """Return margins as JSON data."""
    return [
        {
            "noise": margin.noise.value,
            "tone": margin.tone.value,
            "noise_at_ear_dba": round(margin.noise_at_ear_dba, 1),
            "margin_db": round(margin.margin_db, 1),
            "clear": margin.margin_db >= CLEAR_DB,
        }
        for margin in margins
    ]


def _line(row: Row) -> str:
    cells = [
        row.choice,
        row.way,
        _cell(row.sii),
        _cell(row.stoi),
        _cell(row.right, percent=True),
        _cell(row.probability),
    ]
    return f"| {' | '.join(cells)} |"


def _cell(gain: Gain | None, *, percent: bool = False) -> str:
    if gain is None:
        return "-"
    scale, form, unit = (100, ".0f", " %") if percent else (1, ".3f", "")
    mean = f"{scale * gain.mean:{form}}{unit}"
    if gain.change == 0 and gain.error == 0:
        return mean
    sign = "+" + form
    return f"{mean} ({scale * gain.change:{sign}} ± {scale * gain.error:{form}})"


def _margin(margin_db: float) -> str:
    # rounded down, so that 9.6 does not look like 10
    shown = f"{math.floor(margin_db):d}"
    return shown if margin_db >= CLEAR_DB else f"{shown} (weak)"
