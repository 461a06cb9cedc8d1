"""The hearing benchmark: `python -m voicecheck.bench.hearing CORPUS OUT`.

Judges the shipped network on synthesisers that nothing shipped was tuned on,
beside bare PocketSphinx and RNNoise before PocketSphinx, over the same trials.
Writes OUT/hearing.json and, where matplotlib is installed, OUT/hearing.png.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.bench.calibration import (
    ReliabilityBin,
    expected_calibration_error,
    reliability,
)
from voicecheck.bench.corpus import JUDGING, Clip, load_family
from voicecheck.bench.engines import Engine, EnrolledNetwork, Network, Sphinx
from voicecheck.bench.hearing_report import draw, table
from voicecheck.bench.measure import Cell, Outcome, Trial, count, run, trials_of
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.trials import CONDITIONS
from voicecheck.speech.network.enrolled import fit_head
from voicecheck.speech.network.model import WordNetwork

__all__ = ["EngineResult", "judge", "main"]

EXAMPLES = 3
"""Spoken examples of each word for an enrolled voice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineResult:
    """All that was measured of one engine."""

    engine: str
    """Its name."""
    accept: float
    """Confidence from which it accepts."""
    cells: tuple[Cell, ...]
    """One for each noise."""
    calibration_error: float | None
    """Over all trials, other speech included; None where confidence means nothing."""
    bins: tuple[ReliabilityBin, ...]
    """Reliability."""
    speakers: tuple[str, ...]
    """Who was judged."""


def judge(engine: Engine, trials: Sequence[Trial], accept: float) -> EngineResult:
    """Let one engine hear all trials."""
    return summarise(engine.name, run(engine, trials), accept)


def summarise(name: str, outcomes: list[Outcome], accept: float) -> EngineResult:
    """Count outcomes; the likeliest phrase is right or not, heard or refused."""
    stated = [o for o in outcomes if o.heard is not None]
    levels = [o.confidence for o in stated]
    hits = [o.heard == o.said for o in stated]
    calibrated = len(set(levels)) > 1
    return EngineResult(
        engine=name,
        accept=accept,
        cells=tuple(count(outcomes, accept)),
        calibration_error=(
            expected_calibration_error(levels, hits) if calibrated else None
        ),
        bins=reliability(levels, hits) if calibrated else (),
        speakers=tuple(sorted({o.speaker for o in outcomes})),
    )


def _split_examples(clips: Sequence[Clip]) -> tuple[list[Clip], list[Clip]]:
    """Part the clips of voices with enough settings: to enrol, to judge.

    The first three settings of a speaker are the examples, the others are
    judged; speakers with fewer than four settings are left out.
    """
    settings: dict[str, list[str]] = {}
    for clip in clips:
        known = settings.setdefault(clip.speaker, [])
        if clip.voice not in known:
            known.append(clip.voice)
    enough = {s: v for s, v in settings.items() if len(v) > EXAMPLES}
    examples = {v for voices in enough.values() for v in voices[:EXAMPLES]}
    judged = {v for voices in enough.values() for v in voices[EXAMPLES:]}
    return (
        [c for c in clips if c.voice in examples and c.label in ELEVEN],
        [c for c in clips if c.voice in judged],
    )


def _enrolled_outcomes(
    network: WordNetwork,
    background: dict[str, Frames],
    examples: Sequence[Clip],
    trials: Sequence[Trial],
) -> list[Outcome]:
    """Fit a head for each speaker and let it hear that speaker's trials."""
    outcomes: list[Outcome] = []
    for speaker in sorted({c.speaker for c in examples}):
        words: dict[str, list[Frames]] = {}
        for clip in examples:
            if clip.speaker == speaker:
                words.setdefault(clip.label, []).append(clip.frames)
        head = fit_head(network, words, background)
        own = [t for t in trials if t.clip.speaker == speaker]
        outcomes.extend(run(EnrolledNetwork(network, head), own))
    return outcomes


def _load(folder: Path, families: Sequence[str]) -> tuple[list[Clip], list[Frames]]:
    """Give the clips to be judged, and clips of all others for the babble."""
    judged: list[Clip] = []
    babble: list[Frames] = []
    for path in sorted(folder.glob("*.npz")):
        for clip in load_family(path):
            if clip.voice.split("/")[0] in families:
                judged.append(clip)
            elif clip.label == OTHER:
                babble.append(clip.frames)
    return judged, babble


def main(arguments: list[str] | None = None) -> int:
    """Run the benchmark; 1 when there is nothing to judge."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--judge", nargs="+", default=[f.value for f in JUDGING])
    parser.add_argument("--weights", type=Path, help="another network than ours")
    parser.add_argument("--repeats", type=int, default=2)
    parser.add_argument("--others", type=int, default=90)
    parser.add_argument(
        "--baselines", action=argparse.BooleanOptionalAction, default=True
    )
    parser.add_argument(
        "--baseline-step", type=int, default=2, help="baselines hear each n-th trial"
    )
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args(arguments)
    clips, babble = _load(asked.corpus, asked.judge)
    if not clips:
        sys.stderr.write("no voice to judge: build the corpus first\n")
        return 1
    rng = np.random.default_rng(asked.seed)
    rng.shuffle(babble)
    talkers = tuple(babble[:300])
    network = WordNetwork.load(asked.weights)
    results = _measure(network, clips, talkers, asked)
    asked.out.mkdir(parents=True, exist_ok=True)
    text = table(results)
    sys.stdout.write(text + "\n")
    written = {
        "judged": asked.judge,
        "network": network.provenance,
        "results": [dataclasses.asdict(r) for r in results],
    }
    (asked.out / "hearing.json").write_text(json.dumps(written, indent=1) + "\n")
    (asked.out / "hearing.md").write_text(text + "\n")
    draw(results, asked.out / "hearing.png")
    return 0


def _measure(
    network: WordNetwork,
    clips: list[Clip],
    talkers: tuple[Frames, ...],
    asked: argparse.Namespace,
) -> list[EngineResult]:
    accept = float(str(network.provenance.get("accept", 0.5)))
    trials = trials_of(
        clips, CONDITIONS, seed=asked.seed, repeats=asked.repeats,
        others=asked.others, talkers=talkers,
    )  # fmt: skip
    results = [judge(Network(network, ELEVEN), trials, accept)]
    examples, later = _split_examples(clips)
    if later:
        own = trials_of(
            later, CONDITIONS, seed=asked.seed + 1, repeats=asked.repeats * 2,
            others=asked.others, talkers=talkers,
        )  # fmt: skip
        background = network.background
        outcomes = _enrolled_outcomes(network, background, examples, own)
        results.append(summarise("network, enrolled", outcomes, accept))
    if asked.baselines:
        few = trials[:: asked.baseline_step]
        results.extend(
            judge(Sphinx(ELEVEN, denoise=denoise), few, 0.5)
            for denoise in (False, True)
        )
    return results


if __name__ == "__main__":
    raise SystemExit(main())
