"""Fit and judge the maps of enrolled voices, in one command:

    python -m voicecheck.bench.training.fit_enrolled CORPUS --families festvox
        --weights A.onnx [--judge piper ...]

--weights names a sister network that has not heard the families: with the
shipped one, which has, the stranger's answer would get all the weight.

Writes `voice-match.json` (is this the operator's voice?) and
`fusion-enrolled.json` (how much the enrolled answer counts) into --out.
Both are fitted on the families of --families; the table before the files are
written is of leave-one-voice-out. With --judge the table is of those families
and maps fitted on none of them. Run it after every training of the network.
"""

from __future__ import annotations

import argparse
import json
import logging
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from voicecheck.bench.corpus import TUNING, clips_of
from voicecheck.bench.training.enrolled_table import judge, table
from voicecheck.bench.training.enrolled_trials import (
    HeardTrial,
    Speaker,
    hear_trials,
    speakers_of,
)
from voicecheck.bench.training.fit_fusion import ENROLLED, Heard, fit, write_fusion
from voicecheck.speech.calibration import Calibration
from voicecheck.speech.enrolment.fitting import FittedVoice, fit_voice
from voicecheck.speech.enrolment.network_view import fingerprint
from voicecheck.speech.enrolment.own_voice import enrolled_shares, with_profile
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.fusion import Fusion
from voicecheck.speech.network.model import WordNetwork

__all__ = ["Rows", "fit_map", "main", "write_map"]

_LOG = logging.getLogger(__name__)
_CALIBRATIONS = Path(__file__).parents[2] / "speech" / "calibrations"
_OTHERS_A_TRIAL = 2
"""Profiles of other voices that each trial is compared with."""

Rows = list[tuple[dict[str, float], bool, str]]
"""Features, whether it is so, and the profile's speaker."""


def fit_map(rows: Rows, *, provenance: str) -> Calibration:
    """Fit a logistic regression with a weak prior; both outcomes weigh the same.

    Args:
        rows: features and outcomes.
        provenance: what it was fitted on.
    """
    names = list(rows[0][0])
    values = np.array([[found[n] for n in names] for found, _, _ in rows])
    hits = np.array([hit for _, hit, _ in rows])
    means, scales = values.mean(axis=0), values.std(axis=0)
    scales = np.where(scales < 1e-6, 1.0, scales)
    design = np.column_stack([(values - means) / scales, np.ones(len(rows))])
    share = hits.mean()
    weight = np.where(hits, 0.5 / share, 0.5 / (1 - share))
    sign = np.where(hits, -1.0, 1.0)

    def loss(point: NDArray[np.float64]) -> float:
        fit = np.mean(weight * np.logaddexp(0, sign * (design @ point)))
        return float(fit + 1e-3 * np.sum(point[:-1] ** 2))

    found = minimize(loss, np.zeros(design.shape[1])).x
    return Calibration(
        intercept=float(found[-1]),
        weights=_named(names, found[:-1]),
        means=_named(names, means),
        scales=_named(names, scales),
        provenance=provenance,
    )


def _named(names: Sequence[str], values: NDArray[np.float64]) -> dict[str, float]:
    return {n: round(float(v), 4) for n, v in zip(names, values, strict=True)}


def voice_rows(
    network: WordNetwork,
    voices: Mapping[str, FittedVoice],
    trials: Sequence[HeardTrial],
    seed: int,
) -> Rows:
    """Compare each trial with its own profile and with some of other voices."""
    rng = np.random.default_rng(seed)
    matches = {name: VoiceMatch(network, voice) for name, voice in voices.items()}
    rows: Rows = []
    for trial in trials:
        others = [name for name in voices if name != trial.speaker]
        names = list(rng.choice(others, size=min(_OTHERS_A_TRIAL, len(others))))
        if trial.speaker in voices:
            names.append(trial.speaker)
        for name in names:
            likeness = matches[name].compare(trial.said, trial.sound, trial.vector)
            if likeness is not None:
                rows.append((likeness.as_features(), name == trial.speaker, name))
    return rows


Answers = list[tuple[Heard, str]]
"""What was heard with a profile, and the profile's speaker."""


def answer_rows(
    network: WordNetwork,
    voices: Mapping[str, FittedVoice],
    trials: Sequence[HeardTrial],
) -> Answers:
    """Let each enrolled voice be heard with its own profile."""
    rows: Answers = []
    for trial in trials:
        voice = voices.get(trial.speaker)
        if voice is None:
            continue
        texts = frozenset(p.text for p in trial.active.phrases)
        shares = enrolled_shares(network, voice, trial.vector, texts)
        evidence = with_profile(trial.evidence, shares, voice)
        heard = Heard(evidence=evidence, said=trial.said, snr_db=trial.snr_db)
        rows.append((heard, trial.speaker))
    return rows


def _fit_answers(answers: Answers, text: str) -> Fusion:
    """Fit the weights; the shipped layer's own answer counts as one more witness."""
    return fit([heard for heard, _ in answers], ENROLLED, f"Enrolled answers: {text}")


def _balanced(speakers: Sequence[Speaker]) -> list[Speaker]:
    """Leave out strangers until there are no more of them than enrolled voices."""
    enrolled = [s for s in speakers if s.examples]
    strangers = [s for s in speakers if not s.examples]
    step = max(1, -(-len(strangers) // max(1, len(enrolled))))
    return enrolled + strangers[::step]


def _fit_voices(
    network: WordNetwork, speakers: Sequence[Speaker]
) -> dict[str, FittedVoice]:
    found = {}
    for speaker in speakers:
        if speaker.examples:
            _LOG.info("enrolling %s, %d examples", speaker.name, len(speaker.examples))
            found[speaker.name] = fit_voice(network, speaker.examples)
    return found


def _maps(match: Rows, answers: Answers, text: str) -> tuple[Calibration, Fusion]:
    return (
        fit_map(match, provenance=f"Same voice or another: {text}"),
        _fit_answers(answers, text),
    )


def main(arguments: list[str] | None = None) -> int:
    """Fit, judge and write; 1 when no voice can be enrolled."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("--families", nargs="+", default=[f.value for f in TUNING])
    parser.add_argument("--judge", nargs="*", default=[])
    parser.add_argument("--trials", type=int, default=3000)
    parser.add_argument("--weights", type=Path)
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--out", type=Path, default=_CALIBRATIONS)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    asked.out.mkdir(parents=True, exist_ok=True)  # now, not after ten minutes
    network = WordNetwork.load(asked.weights)
    speakers = _balanced(speakers_of(clips_of(asked.corpus, asked.families)))
    voices = _fit_voices(network, speakers)
    if not voices:
        _LOG.error("no voice has two settings: nothing can be enrolled")
        return 1
    trials = hear_trials(network, speakers, count=asked.trials, seed=asked.seed)
    _LOG.info("%d trials heard", len(trials))
    _LOG.info("fitting the maps")
    match = voice_rows(network, voices, trials, asked.seed)
    answers = answer_rows(network, voices, trials)
    text = (
        f"logistic regression over {asked.trials} trials of "
        f"{', '.join(asked.families)}, {len(voices)} voices enrolled, network "
        f"{fingerprint(network)}; trained on {network.provenance.get('families')}."
    )
    _LOG.info("%s", _judged_left_out(network, voices, trials, match, answers))
    maps = _maps(match, answers, text)
    write_map(asked.out / "voice-match.json", maps[0])
    write_fusion(asked.out / "fusion-enrolled.json", maps[1])
    if asked.judge:
        strange = speakers_of(clips_of(asked.corpus, asked.judge))
        held = _fit_voices(network, strange)
        heard = hear_trials(
            network, strange, count=asked.trials // 3, seed=asked.seed + 1
        )
        results = judge(network, {**voices, **held}, heard, *maps, only=set(held))
        _LOG.info("judged on %s\n%s", ", ".join(asked.judge), table(results))
    return 0


def _judged_left_out(
    network: WordNetwork,
    voices: Mapping[str, FittedVoice],
    trials: Sequence[HeardTrial],
    match: Rows,
    answers: Answers,
) -> str:
    """Judge each profile by maps that its voice had no part in."""
    results = []
    for name in voices:
        maps = _maps(
            [row for row in match if row[2] != name],
            [row for row in answers if row[1] != name],
            "",
        )
        results += judge(network, voices, trials, *maps, only={name})
    return table(results)


def write_map(path: Path, fitted: Calibration) -> None:
    """Write a map into a file that comes with the package."""
    data = {
        "intercept": fitted.intercept,
        "weights": dict(fitted.weights),
        "means": dict(fitted.means),
        "scales": dict(fitted.scales),
        "other_share": fitted.other_share,
        "provenance": fitted.provenance,
    }
    path.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    raise SystemExit(main())
