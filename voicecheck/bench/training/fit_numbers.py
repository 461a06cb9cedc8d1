"""Fit the weights of what speaks for a number:

    python -m voicecheck.bench.training.fit_numbers CORPUS OUT.json
        --stranger digits-A.onnx:festvox [--judge digits.onnx:piper]

The network has not heard the families beside it: what it says of them is what it
says of strangers. Trials are strings of digits from the corpus and other speech,
the whole way of a sound.
"""

from __future__ import annotations

import argparse
import json
import logging
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

import numpy as np

from voicecheck.bench.calibration import expected_calibration_error
from voicecheck.bench.corpus import clips_of
from voicecheck.bench.training.logit import Choice, fit_logit
from voicecheck.bench.training.number_trials import HeardNumber, hear_numbers
from voicecheck.speech.network.digit_network import DigitNetwork
from voicecheck.speech.numbers.evidence import DECODES, features_of, none_features
from voicecheck.speech.numbers.weighing import NumberWeights

__all__ = ["fit", "main", "summary"]

_LOG = logging.getLogger(__name__)
NUMBER = (
    "network", "network_noisy", "words", "words_noisy", "point",
    *(f"{d}_{what}" for d in DECODES for what in ("apart", "apart_noisy", "same")),
)  # fmt: skip
NONE = ("always", "noisy", "misfit", "silence", "without", "disagreement")


def fit(heard: Sequence[HeardNumber], provenance: str = "") -> NumberWeights:
    """Find the weights of least cross-entropy."""
    number, none = fit_logit([_choice(trial) for trial in heard], NUMBER, NONE)
    return NumberWeights(number=number, none=none, provenance=provenance)


def _choice(trial: HeardNumber) -> Choice:
    found = features_of(trial.evidence)
    numbers = list(found)
    return Choice(
        candidates=list(found.values()),
        none=none_features(trial.evidence),
        right=numbers.index(trial.said) if trial.said in found else None,
    )


def summary(weights: NumberWeights, heard: Sequence[HeardNumber]) -> str:
    """Tell how often the likeliest number is right, and how well calibrated."""
    stated, hits, said = [], [], []
    for trial in heard:
        posterior = weights.posterior(trial.evidence)
        best = max(posterior, key=lambda words: posterior[words], default=())
        stated.append(posterior.get(best, 0.0))
        hits.append(best == trial.said)
        said.append(bool(trial.said))
    sure, hit, number = np.array(stated), np.array(hits), np.array(said)
    likely = sure >= 0.5
    return (
        f"{number.sum()} numbers: likeliest right {hit[number].mean():.1%}, "
        f"from 0.5 on right {(hit & likely)[number].mean():.1%}, "
        f"wrong {(~hit & likely)[number].mean():.1%}; "
        f"{(~number).sum()} times other speech: {likely[~number].mean():.1%} from 0.5; "
        f"ECE {expected_calibration_error(sure, hit & number):.3f}"
    )


def main(arguments: list[str] | None = None) -> int:
    """Fit, judge, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--stranger", required=True, metavar="NETWORK:FAMILY,…")
    parser.add_argument("--judge", default=None, metavar="NETWORK:FAMILY,…")
    parser.add_argument("--trials", type=int, default=700)
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    heard = _hear(asked.corpus, asked.stranger, asked.trials, asked.seed)
    weights = fit(
        heard,
        f"{len(heard)} trials of {asked.stranger.split(':')[1]}, seed {asked.seed}",
    )
    _LOG.info("fitted on: %s", summary(weights, heard))
    text = json.dumps(asdict(weights), indent=1)
    asked.out.write_text(text + "\n", encoding="utf-8")
    if asked.judge:
        judged = _hear(asked.corpus, asked.judge, asked.trials // 2, asked.seed + 1)
        _LOG.info("judged on: %s", summary(weights, judged))
    return 0


def _hear(corpus: Path, pair: str, count: int, seed: int) -> list[HeardNumber]:
    path, families = pair.rsplit(":", 1)
    clips = clips_of(corpus, families.split(","))
    network = DigitNetwork.load(Path(path))
    found = []
    for trial in hear_numbers(network, clips, count=count, seed=seed):
        found.append(trial)
        if len(found) % 50 == 0:
            _LOG.info("%d of %d", len(found), count)
    return found


if __name__ == "__main__":
    raise SystemExit(main())
