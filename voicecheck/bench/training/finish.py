"""Finish a trained network: ONNX graph, temperature, acceptance level, background.

    python -m voicecheck.bench.training.finish CORPUS WEIGHTS DEVELOPMENT OUT

A second network, trained the same way with the families HELD (default:
festvox) left out, is heard on exactly those. What it says of strangers tells
how far the posteriors must be flattened (temperature), how much the classes
that may not be accepted weigh, and from which confidence on other speech is
accepted in at most 0.5 % of cases. The shipped network, which learned from
those voices too, takes these numbers over. The judging families are never
touched.
"""

from __future__ import annotations

import argparse
import json
import logging
import tempfile
from collections.abc import Mapping
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.corpus import Clip, clips_of
from voicecheck.bench.measure import Trial, trials_of
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.training.onnx_graph import graph_of
from voicecheck.bench.trials import CONDITIONS, make_trial
from voicecheck.speech.network.model import NOISE, WordNetwork
from voicecheck.speech.network.model import OTHER as OTHER_CLASS

__all__ = ["main"]

_LOG = logging.getLogger(__name__)

WEIGHTS = (0.03, 0.06, 0.12, 0.25, 0.5, 1.0, 2.0)
"""Priors that are tried, relative to how often training met the class."""

ALLOWED = 0.005
"""Share of other speech that may be accepted."""


def _balanced(clips: list[Clip], seed: int) -> list[Trial]:
    """Commands and other speech in like numbers, at 0 dB and better."""
    rng = np.random.default_rng(seed)
    ours = [c for c in clips if c.label in ELEVEN]
    picked = rng.choice(len(ours), size=min(70, len(ours)), replace=False)
    clips = [c for c in clips if c.label not in ELEVEN] + [ours[i] for i in picked]
    usable = [c for c in CONDITIONS if c.snr_db >= 0]
    return trials_of(
        clips, usable, seed=seed, repeats=1, others=70,
        talkers=tuple(c.frames for c in clips[:200]),
    )  # fmt: skip


def _fit(
    network: WordNetwork, trials: list[Trial]
) -> tuple[float, dict[str, float], NDArray[np.float64]]:
    """Find temperature and priors of least cross-entropy, by grid.

    Returns:
        Temperature, weights of OTHER (and noise) and of phrases that may not
        be said now, and the confidence in the likeliest phrase of each trial.
    """
    logits = np.stack([network.logits(network.embedding(t.sound)) for t in trials])
    logits = logits.astype(np.float64)
    active = [network.labels.index(p) for p in ELEVEN]
    refused = [network.labels.index(p) for p in (OTHER_CLASS, NOISE)]
    taken = {*active, *refused}
    idle = [i for i in range(len(network.labels)) if i not in taken]
    target = np.array(
        [
            ELEVEN.index(t.clip.label) if t.clip.label in ELEVEN else len(ELEVEN)
            for t in trials
        ]
    )
    best: tuple[float, float, dict[str, float], NDArray[np.float64]] | None = None
    for temperature in np.arange(0.7, 2.6, 0.1):
        shares = np.exp((logits - logits.max(axis=1, keepdims=True)) / temperature)
        parts = [shares[:, g].sum(axis=1) for g in (refused, idle)]
        for other, inactive in product(WEIGHTS, WEIGHTS):
            rest = other * parts[0] + inactive * parts[1]
            table = np.column_stack([shares[:, active], rest])
            table /= table.sum(axis=1, keepdims=True)
            loss = -float(np.mean(np.log(table[np.arange(len(target)), target] + 1e-9)))
            if best is None or loss < best[0]:
                weights = {"other": other, "inactive": inactive}
                sure = table[:, :-1].max(axis=1)
                best = (loss, float(temperature), weights, sure)
    assert best is not None
    return best[1], best[2], best[3]


def _acceptance(trials: list[Trial], sure: NDArray[np.float64]) -> float:
    """Lowest confidence at which other speech passes in ALLOWED of cases."""
    foreign = np.array([t.clip.label not in ELEVEN for t in trials])
    _LOG.info("%d of %d trials are other speech", foreign.sum(), len(trials))
    return float(np.clip(np.quantile(sure[foreign], 1 - ALLOWED), 0.5, 0.995))


def _families(network: WordNetwork) -> tuple[str, ...]:
    found = network.provenance["families"]
    assert isinstance(found, list)
    return tuple(str(name) for name in found)


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


def write_network(
    arrays: Path, out: Path, changes: Mapping[str, object] | None = None
) -> WordNetwork:
    """Write body, last layer and provenance of trained arrays, and load them.

    Args:
        arrays: the .npz of the training, its .json beside it.
        out: the .onnx to write.
        changes: of the provenance.
    """
    with np.load(arrays, allow_pickle=False) as archive:
        found = {name: archive[name] for name in archive.files}
    out.write_bytes(graph_of(found).SerializeToString())
    _write_head(out, {n: found[n] for n in ("last.weight", "last.bias")})
    provenance = json.loads(arrays.with_suffix(".json").read_text("utf-8"))
    text = json.dumps(provenance | dict(changes or {}), indent=1, ensure_ascii=False)
    out.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
    return WordNetwork.load(out)


def _write_head(out: Path, arrays: Mapping[str, NDArray[np.generic]]) -> None:
    np.savez_compressed(
        out.with_name(out.stem + "_head.npz"), allow_pickle=False, **arrays
    )


def main(arguments: list[str] | None = None) -> int:
    """Write the network with its settings and its background."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("corpus", type=Path)
    parser.add_argument("weights", type=Path, help="the .npz of the training")
    parser.add_argument("development", type=Path, help="the .npz of the other one")
    parser.add_argument("out", type=Path, help="the .onnx to write")
    parser.add_argument("--held", nargs="+", default=["festvox"])
    parser.add_argument("--seed", type=int, default=3)
    asked = parser.parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    held = clips_of(asked.corpus, asked.held)
    with tempfile.TemporaryDirectory() as folder:
        development = write_network(asked.development, Path(folder) / "dev.onnx")
        trials = _balanced(held, asked.seed)
        temperature, priors, sure = _fit(development, trials)
    accept = _acceptance(trials, sure)
    _LOG.info("temperature %.2f, %s, accept from %.3f", temperature, priors, accept)
    settings = {
        "temperature": round(temperature, 3),
        "priors": priors,
        "accept": round(accept, 4),
        "tuned_on": asked.held,
    }
    network = write_network(asked.weights, asked.out, settings)
    clips = clips_of(asked.corpus, _families(network))
    background = _background(network, clips, asked.seed + 2)
    named = {f"background.{name}": rows for name, rows in background.items()}
    _write_head(asked.out, {**network.arrays, **named})
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
