"""Train the digit network: `python -m voicecheck.bench.training.train_digits`.

Needs PyTorch and a corpus made by `voicecheck.bench.build_corpus`, with its talk.
A graphics processor takes some minutes, two cores some hours.
"""

from __future__ import annotations

import argparse
import copy
import logging
import time
from pathlib import Path

import numpy as np
import torch

from voicecheck.bench.training.arguments import learned_from, training_parser
from voicecheck.bench.training.augment import Batch
from voicecheck.bench.training.digit_batches import NumberBatches
from voicecheck.bench.training.digit_net import DigitNet
from voicecheck.bench.training.net import TorchLogMel
from voicecheck.bench.training.optimising import follow, rate_at
from voicecheck.bench.training.provenance import write_provenance
from voicecheck.bench.training.warp import masked, stretched, warped
from voicecheck.speech.network.digit_words import WORDS

__all__ = ["main"]

_LOG = logging.getLogger(__name__)


def _loss(logits: torch.Tensor, batch: Batch) -> torch.Tensor:
    """Return the loss of the words, a word."""
    logs = logits.float().log_softmax(dim=1).permute(2, 0, 1)
    usable, lengths = batch.lengths >= 0, batch.lengths.clamp(min=0)
    each = torch.nn.functional.ctc_loss(
        logs,
        batch.phones + 1,
        torch.full_like(lengths, logs.shape[0]),
        lengths,
        reduction="none",
        zero_infinity=True,
    )
    return ((each / (lengths + 1)) * usable).sum() / usable.sum().clamp(min=1)


def _keep(net: DigitNet, path: Path) -> None:
    state = {n: v.detach().float().cpu().numpy() for n, v in net.state_dict().items()}
    np.savez(path, allow_pickle=False, **state)


def _train(batches: NumberBatches, asked: argparse.Namespace) -> tuple[DigitNet, int]:
    """Run the training; return the running mean of the weights, and the steps."""
    device = asked.device
    net = DigitNet().to(device)
    mel = TorchLogMel().to(device)
    mean = copy.deepcopy(net)
    optimiser = torch.optim.AdamW(net.parameters(), lr=asked.rate, weight_decay=0.02)
    began, done = time.monotonic(), 0
    for step in range(asked.steps):
        since_s = time.monotonic() - began
        spent = max(step / asked.steps, since_s / (60 * asked.minutes))
        if spent >= 1:
            break
        for group in optimiser.param_groups:
            group["lr"] = asked.rate * rate_at(spent)
        with torch.no_grad():
            batch = batches.batch(asked.batch)
            features = mel(batch.sound)
            length = stretched(features.shape[2], batches.generator)
            features = warped(features, length, batches.generator)
            features = masked(features, batches.generator)
        with torch.autocast(device, torch.bfloat16, enabled=device != "cpu"):
            logits = net(features)
        loss = _loss(logits, batch)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        optimiser.step()
        follow(mean, net, min(0.998, step / (step + 100)))
        done = step + 1
        if step % 250 == 0:
            _LOG.info("%d %.3f %.0f s", step, loss.item(), since_s)
            _keep(mean, asked.out)
    return mean, done


def main(arguments: list[str] | None = None) -> int:
    """Train once and write weights and provenance."""
    asked = training_parser(__doc__, batch=192).parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    torch.manual_seed(asked.seed)
    clips = learned_from(asked, numbers=True)
    batches = NumberBatches(clips, seed=asked.seed, device=asked.device)
    _LOG.info("%d voices, %d strings", len(batches.singles), len(batches.strings))
    mean, done = _train(batches, asked)
    _keep(mean, asked.out)
    write_provenance(
        asked,
        clips,
        steps=done,
        words=WORDS,
        voices=len(batches.singles),
        strings=len(batches.strings),
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
