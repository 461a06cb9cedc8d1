"""Fit the weights of the witnesses:

    python -m voicecheck.bench.training.fit_fusion CORPUS OUT.json
        --strangers A.onnx:festvox B.onnx:style [--judge EN.onnx:piper,human]

Each pair names a network and families that this network has not heard (their
morphed relatives included): what it says of them is what it says of strangers.
Trials go the whole way of a sound, voice activity and end-pointing included.
With --judge the fitted weights are judged on families that no network and no
weight has heard.
"""

from __future__ import annotations

import argparse
import json
import logging
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from voicecheck.bench.calibration import expected_calibration_error
from voicecheck.bench.corpus import OTHER, clips_of
from voicecheck.bench.training.logit import Choice, fit_logit
from voicecheck.bench.training.stranger_trials import Heard, hear
from voicecheck.speech.fusion import (
    Fusion,
    candidate_features,
    none_features,
)
from voicecheck.speech.network.model import WordNetwork

__all__ = ["ENROLLED", "Heard", "fit", "main", "summary", "write_fusion"]

_LOG = logging.getLogger(__name__)
CANDIDATE = (
    "network", "network_noisy", "raw_quiet", "raw_noisy", "clean_quiet",
    "clean_noisy", "spoken", "spoken_noisy", "brief", "raw_brief", "clean_brief",
    "unknown", "short", "long",
)  # fmt: skip
"""Features of a candidate without a profile."""
ENROLLED = (*CANDIDATE, "stranger", "enrolled")
"""With a profile."""
NONE = (
    "always", "other", "noise", "misfit", "no_raw", "no_clean", "length_s", "noisy",
)  # fmt: skip
_LIMITS = {"long": (None, -0.1), "length_s": (0.0, None)}
"""Length always speaks against a phrase, if little. In the trials an utterance is
long where others talk around a word of ours; what is long elsewhere is their talk."""
OTHER_COUNTS = 2.0
"""How often other speech counts: it is one trial in four, and half of what
`bench hearing` plays."""


def fit(
    heard: Sequence[Heard],
    names: tuple[str, ...] = CANDIDATE,
    provenance: str = "",
    *,
    other: float = 1.0,
) -> Fusion:
    """Find the weights of least cross-entropy.

    Args:
        heard: trials; at least one.
        names: the features of a candidate that get a weight.
        provenance: what it was fitted on.
        other: how often a trial counts in which none of our phrases was said.
    """
    choices = [_choice(trial, other) for trial in heard]
    candidate, none = fit_logit(choices, names, NONE, limits=_LIMITS)
    return Fusion(candidate=candidate, none=none, provenance=provenance)


def _choice(trial: Heard, other: float) -> Choice:
    found = candidate_features(trial.evidence)
    texts = list(found)
    return Choice(
        candidates=list(found.values()),
        none=none_features(trial.evidence),
        right=texts.index(trial.said) if trial.said in texts else None,
        counts=other if trial.said == OTHER else 1.0,
    )


def summary(fusion: Fusion, heard: Sequence[Heard]) -> str:
    """Tell how right and how well calibrated the likeliest phrase is."""
    stated, hits, ours = [], [], []
    for trial in heard:
        posterior = fusion.posterior(trial.evidence)
        best = max(posterior, key=lambda text: posterior[text])
        stated.append(posterior[best])
        hits.append(best == trial.said)
        ours.append(trial.said != OTHER)
    sure, hit, own = np.array(stated), np.array(hits), np.array(ours)
    lines = [
        f"{len(heard)} utterances, {own.sum()} of our phrases: likeliest right "
        f"{hit[own].mean():.1%}, calibration error "
        f"{expected_calibration_error(sure, hit):.3f}"
    ]
    for level in (0.5, 0.8, 0.9, 0.95, 0.98):
        taken = sure >= level
        lines.append(
            f"from {level:.2f}: right {(taken & hit)[own].mean():.1%}, wrong "
            f"{(taken & ~hit)[own].mean():.2%}, other speech {taken[~own].mean():.2%}"
        )
    return "\n".join(lines)


def write_fusion(path: Path, fusion: Fusion) -> None:
    """Write the weights as `load_fusion` reads them."""
    data = {
        "candidate": dict(fusion.candidate),
        "none": dict(fusion.none),
        "provenance": fusion.provenance,
    }
    path.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


def _pairs(
    corpus: Path, named: Sequence[str], count: int, seed: int
) -> Iterator[Heard]:
    for offset, pair in enumerate(named):
        path, _, families = pair.partition(":")
        clips = clips_of(corpus, families.split(","))
        network = WordNetwork.load(Path(path))
        yield from hear(network, clips, count=count, seed=seed + offset)


def main(arguments: list[str] | None = None) -> int:
    """Fit, judge and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--strangers", nargs="+", required=True)
    parser.add_argument("--judge", nargs="*", default=[])
    parser.add_argument("--trials", type=int, default=1200, help="a pair")
    parser.add_argument("--seed", type=int, default=11)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    heard = list(_pairs(asked.corpus, asked.strangers, asked.trials, asked.seed))
    families = ", ".join(pair.partition(":")[2] for pair in asked.strangers)
    fusion = fit(
        heard,
        provenance=(
            f"Conditional logit over {len(heard)} utterances of voices that the "
            f"network of the same training without them had not heard: {families}; "
            "all noises of the benchmark, one trial in four other speech, which "
            f"counts {OTHER_COUNTS:g} times."
        ),
        other=OTHER_COUNTS,
    )
    _LOG.info("fitted on\n%s", summary(fusion, heard))
    if asked.judge:
        strange = list(_pairs(asked.corpus, asked.judge, asked.trials, asked.seed + 99))
        _LOG.info("judged on %s\n%s", asked.judge, summary(fusion, strange))
    write_fusion(asked.out, fusion)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
