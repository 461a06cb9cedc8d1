"""Finish a trained network: temperature, acceptance level, background.

    python -m voicecheck.bench.training.finish CORPUS WEIGHTS DEVELOPMENT

A second network, trained the same way with the families HELD (default:
festvox) left out, is heard on exactly those: what it says of strangers tells
how far the posteriors must be flattened (temperature) and from which
confidence on other speech is accepted in at most 0.5 % of cases. The shipped
network, which learned from those voices too, takes both numbers over. The
judging families are never touched.
"""

from __future__ import annotations

import argparse
import json
import logging
from pathlib import Path

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.calibration import fit_temperature
from voicecheck.bench.corpus import Clip
from voicecheck.bench.engines import Network
from voicecheck.bench.measure import run, trials_of
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.training.train import training_clips
from voicecheck.bench.trials import CONDITIONS, make_trial
from voicecheck.speech.network.model import NOISE, WordNetwork
from voicecheck.speech.network.model import OTHER as OTHER_CLASS

__all__ = ["main"]

_LOG = logging.getLogger(__name__)

ALLOWED = 0.005
"""Share of other speech that may be accepted."""


def _temperature(network: WordNetwork, clips: list[Clip], seed: int) -> float:
    rng = np.random.default_rng(seed)
    talkers = tuple(c.frames for c in clips[:200])
    logits, targets = [], []
    for index in rng.choice(len(clips), size=min(1500, len(clips)), replace=False):
        clip = clips[int(index)]
        condition = CONDITIONS[int(rng.integers(len(CONDITIONS)))]
        logits.append(network.logits(make_trial(clip, condition, rng, talkers=talkers)))
        label = OTHER_CLASS if clip.label == OTHER else clip.label
        targets.append(network.labels.index(label))
    return fit_temperature(np.stack(logits).astype(np.float64), np.array(targets))


def _acceptance(network: WordNetwork, clips: list[Clip], seed: int) -> float:
    """Lowest confidence at which other speech passes in ALLOWED of cases."""
    usable = [c for c in CONDITIONS if c.snr_db >= 0]
    trials = trials_of(
        clips, usable, seed=seed, repeats=0, others=150,
        talkers=tuple(c.frames for c in clips[:200]),
    )  # fmt: skip
    outcomes = run(Network(network, ELEVEN), trials)
    levels = np.array([o.confidence for o in outcomes])
    _LOG.info("%d trials of other speech", len(levels))
    return float(np.clip(np.quantile(levels, 1 - ALLOWED), 0.5, 0.99))


def _background(
    network: WordNetwork, clips: list[Clip], seed: int
) -> dict[str, Frames]:
    """Pooled features of other speech and of noise alone."""
    rng = np.random.default_rng(seed)
    others = [c for c in clips if c.label == OTHER]
    talkers = tuple(c.frames for c in others[:200])
    rows: dict[str, list[Frames]] = {OTHER_CLASS: [], NOISE: []}
    for index in rng.choice(len(others), size=240, replace=False):
        condition = CONDITIONS[int(rng.integers(len(CONDITIONS)))]
        sound = make_trial(others[int(index)], condition, rng, talkers=talkers)
        rows[OTHER_CLASS].append(network.embedding(sound))
    for index in range(60):
        kind = list(NoiseKind)[index % len(NoiseKind)]
        samples = int(rng.uniform(1.2, 2.0) * RATE_HZ)
        rows[NOISE].append(network.embedding(noise(kind, samples, rng)))
    return {name: np.stack(found).astype(np.float16) for name, found in rows.items()}


def main(arguments: list[str] | None = None) -> int:
    """Complete the provenance and write the background beside the weights."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("weights", type=Path)
    parser.add_argument("development", type=Path)
    parser.add_argument("--held", nargs="+", default=["festvox"])
    parser.add_argument("--seed", type=int, default=3)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    held = training_clips(asked.corpus, tuple(asked.held))
    development = WordNetwork.load(asked.development)
    temperature = _temperature(development, held, asked.seed)
    calibrated = WordNetwork(
        labels=development.labels,
        temperature=temperature,
        arrays=development.arrays,
        provenance=development.provenance,
    )
    accept = _acceptance(calibrated, held, asked.seed + 1)
    _LOG.info("temperature %.2f, accept from %.3f", temperature, accept)
    network = WordNetwork.load(asked.weights)
    clips = training_clips(asked.corpus, tuple(network.provenance["families"]))
    background = _background(network, clips, asked.seed + 2)
    np.savez_compressed(
        asked.weights.with_name(asked.weights.stem + "_background.npz"), **background
    )
    provenance = dict(network.provenance)
    provenance |= {
        "temperature": round(temperature, 3),
        "accept": round(accept, 4),
        "tuned_on": asked.held,
    }
    text = json.dumps(provenance, indent=1, ensure_ascii=False)
    asked.weights.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
