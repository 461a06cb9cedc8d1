"""Train the small network: `python -m voicecheck.bench.training.train`.

Needs PyTorch (any device; a processor alone takes a night, a large graphics
processor some minutes) and a corpus made by `voicecheck.bench.build_corpus`.
The seed fixes the corpus order, the noises and the first weights; the sums of
a graphics processor may still differ in their last digits.
"""

from __future__ import annotations

import copy
import logging
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import torch

from voicecheck.bench.phrases import PHRASES
from voicecheck.bench.training.arguments import learned_from, training_parser
from voicecheck.bench.training.augment import Augmenter, Batch
from voicecheck.bench.training.net import (
    TWINS,
    SpokenWordNet,
    TorchLogMel,
    export_arrays,
)
from voicecheck.bench.training.optimising import follow, rate_at
from voicecheck.bench.training.provenance import write_provenance
from voicecheck.bench.training.warp import masked, stretched, warped
from voicecheck.speech.network.model import NOISE, OTHER

__all__ = ["main"]

_LOG = logging.getLogger(__name__)
LABELS = (*PHRASES, OTHER, NOISE)
PHONE_WEIGHT = 0.3
"""Of the loss of a phone, beside the loss of a phrase."""


def _train(
    augmenter: Augmenter,
    *,
    steps: int,
    size: int,
    rate: float,
    limit_s: float,
    device: str,
    keep: Callable[[SpokenWordNet], object],
) -> tuple[SpokenWordNet, int]:
    """Run the training; return the running mean of the weights, and the steps."""
    net = SpokenWordNet(len(LABELS)).to(device)
    mel = TorchLogMel().to(device)
    mean: SpokenWordNet = copy.deepcopy(net)
    optimiser = torch.optim.AdamW(
        net.parameters(), lr=rate, weight_decay=0.03, fused=device != "cpu"
    )
    began = time.monotonic()
    done = 0
    for step in range(steps):
        spent = max(step / steps, (time.monotonic() - began) / limit_s)
        if spent >= 1:
            break
        for group in optimiser.param_groups:
            group["lr"] = rate * rate_at(spent)
        with torch.no_grad():
            batch = augmenter.batch(size)
            features = _seen(mel(batch.sound), augmenter.generator)
        with torch.autocast(device, torch.bfloat16, enabled=device != "cpu"):
            logits, phones = net(features)
        loss, of_phones = _losses(logits, phones, batch)
        loss = loss + PHONE_WEIGHT * of_phones
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        optimiser.step()
        follow(mean, net, min(0.999, step / (step + 100)))
        done = step + 1
        if step % 500 == 0 or step == steps - 1:
            since_s = time.monotonic() - began
            _LOG.info(
                "%d %.3f phones %.3f %.0f s",
                step,
                loss.item(),
                of_phones.item(),
                since_s,
            )
            keep(mean)
    mean.eval()
    return mean, done


def _losses(
    logits: torch.Tensor, phones: torch.Tensor, batch: Batch
) -> tuple[torch.Tensor, torch.Tensor]:
    """Return the loss of the phrases and, a phone, that of the phones.

    Each twin answers for itself, or they would come to lean on each other.
    """
    words = torch.nn.functional.cross_entropy(
        logits.float().flatten(0, 1),
        batch.target.repeat_interleave(TWINS),
        label_smoothing=0.03,
    )
    # the phones of half of the trials: they cost much and teach the body alike
    half = batch.lengths.numel() // 2
    logs = phones[:half].float().flatten(0, 1).log_softmax(dim=1).permute(2, 0, 1)
    known = batch.lengths[:half].repeat_interleave(TWINS)
    usable, lengths = known >= 0, known.clamp(min=0)
    each = torch.nn.functional.ctc_loss(
        logs,
        batch.phones[:half].repeat_interleave(TWINS, dim=0),
        torch.full_like(lengths, logs.shape[0]),
        lengths,
        reduction="none",
        zero_infinity=True,
    )
    return words, ((each / (lengths + 1)) * usable).sum() / usable.sum().clamp(min=1)


def _keep(mean: SpokenWordNet, path: Path) -> dict[str, np.ndarray]:
    """Write the present mean, so that a run cut off has not been for nothing."""
    mean.eval()
    arrays = export_arrays(mean)
    np.savez(path, allow_pickle=False, **arrays)
    return arrays


def _seen(mel: torch.Tensor, generator: torch.Generator) -> torch.Tensor:
    """Show each twin the same sounds, warped and blanked in its own way."""
    length = stretched(mel.shape[2], generator)
    views = [masked(warped(mel, length, generator), generator) for _ in range(TWINS)]
    return torch.stack(views, dim=1)


def main(arguments: list[str] | None = None) -> int:
    """Train once and write weights and provenance."""
    asked = training_parser(__doc__, batch=384).parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    torch.manual_seed(asked.seed)
    clips = learned_from(asked)
    augmenter = Augmenter(clips, LABELS, seed=asked.seed, device=asked.device)
    _LOG.info("%d clips, bank ready", len(clips))
    net, steps = _train(
        augmenter,
        steps=asked.steps,
        size=asked.batch,
        rate=asked.rate,
        limit_s=60 * asked.minutes,
        device=asked.device,
        keep=lambda mean: _keep(mean, asked.out),
    )
    arrays = _keep(net, asked.out)
    write_provenance(
        asked,
        clips,
        steps=steps,
        labels=LABELS,
        temperature=1.0,
        weights=int(sum(a.size for a in arrays.values())),
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
