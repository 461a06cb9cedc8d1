"""How to speak prompts so that they are heard: `python -m voicecheck.bench.prompts`.

Prints two tables: how rate, pitch, equaliser and mild compression change the
intelligibility of our prompts in noise at equal A-weighted level, and how far
each tone lies over the masked threshold under an ear defender.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.tones import Tone
from voicecheck.bench.prompt_trials import Score, score, ways
from voicecheck.bench.recognised_prompts import recognised
from voicecheck.bench.tone_trials import ToneMargin, tone_margins
from voicecheck.checklists.loader import load
from voicecheck.hearing.masking import CLEAR_DB
from voicecheck.speech.prompt_sample import choose_evenly, speak_sample
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

__all__ = ["main", "score_table", "tone_table"]


def score_table(scores: Sequence[Score], heard: Sequence[float | None]) -> str:
    """Return the scores as Markdown, the usual way first.

    Each cell is a mean; behind it, for all but the first, the mean difference to
    the usual way on the same prompts and its standard error.

    Args:
        scores: one for each way.
        heard: share of phrases that the recogniser got right, or None.
    """
    base = scores[0]
    lines = [
        "| way | SII | STOI | ESTOI | recogniser right | seconds |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for one, share in zip(scores, heard, strict=True):
        cells = [
            one.way,
            _cell(one.sii, base.sii),
            _cell(one.stoi, base.stoi),
            _cell(one.estoi, base.estoi),
            "-" if share is None else f"{100 * share:.0f} %",
            f"{np.mean(one.seconds):.2f}",
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


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


def main(arguments: list[str] | None = None) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--noise", default="idle", choices=[k.value for k in NoiseKind])
    parser.add_argument("--snr", type=float, default=0.0, help="dB, usual voice")
    parser.add_argument("--outside", type=float, default=95.0, help="dBA, for tones")
    parser.add_argument("--prompt", type=float, default=75.0, help="dBA at the ear")
    parser.add_argument(
        "--listen",
        type=int,
        default=0,
        metavar="N",
        help="let the recogniser hear each of some phrases N times, too",
    )
    parser.add_argument("--cache", type=Path, help="folder for spoken prompts")
    asked = parser.parse_args(arguments)
    kind = NoiseKind(asked.noise)
    texts = choose_evenly([p.prompt for p in load("wheel-loader").checkpoints])
    with Pyttsx3Synthesiser(asked.cache) as synthesiser:
        scores, heard = [], []
        for way in ways():
            scores.append(score(way, texts, synthesiser, kind=kind, snr_db=asked.snr))
            heard.append(
                recognised(way, synthesiser, kind, asked.snr, asked.listen)
                if asked.listen
                else None
            )
        sample = speak_sample(synthesiser, texts, "en")
    level_dbfs = sample.octave.a_level_dba
    out = sys.stdout.write
    out(f"Prompts in {kind.value} noise, {asked.snr:g} dB, {len(texts)} prompts\n\n")
    out(score_table(scores, heard) + "\n\n")
    for through, name in ((False, "headset"), (True, "loudspeaker outside")):
        margins = tone_margins(
            asked.outside, asked.prompt, level_dbfs, through_protector=through
        )
        out(
            f"Tones, {name}: dB over the masked threshold under an ear defender, "
            f"noise {asked.outside:g} dBA outside, prompts {asked.prompt:g} dBA; "
            f"{CLEAR_DB:g} and more is clear\n\n"
        )
        out(tone_table(margins) + "\n\n")
    return 0


def _cell(values: Sequence[float], base: Sequence[float]) -> str:
    if not values:
        return "-"
    mean = f"{np.mean(values):.3f}"
    if values == base:
        return mean
    change = np.subtract(values, base)
    error = np.std(change, ddof=1) / math.sqrt(len(change))
    return f"{mean} ({np.mean(change):+.3f} ± {error:.3f})"


def _margin(margin_db: float) -> str:
    # rounded down, so that 9.6 does not look like 10
    shown = f"{math.floor(margin_db):d}"
    return shown if margin_db >= CLEAR_DB else f"{shown} (weak)"


if __name__ == "__main__":
    raise SystemExit(main())
