"""The shipped graph computes what the trained PyTorch network computes."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ
from voicecheck.bench.training.finish import write_network
from voicecheck.speech.network.features import log_mel
from voicecheck.speech.network.model import NOISE, OTHER

torch = pytest.importorskip("torch", reason="training needs PyTorch, using does not")


@pytest.mark.parametrize("samples", [RATE_HZ, RATE_HZ * 2 - 77, RATE_HZ + 160])
def test_graph_equals_torch(samples: int, tmp_path: Path) -> None:
    """Features, logits and phones agree, for even and odd lengths.

    What the graph says is the mean of the twins, at the precision of weights
    that are kept in half of the bits.
    """
    from voicecheck.bench.training.net import (
        TWINS,
        SpokenWordNet,
        TorchLogMel,
        export_arrays,
    )

    torch.manual_seed(1)
    net = SpokenWordNet(5)
    net.train()
    with torch.no_grad():
        for _ in range(3):
            net(torch.randn(4, TWINS, 40, 90))
    net.eval()
    np.savez(tmp_path / "t.npz", **export_arrays(net))
    provenance = {"labels": ["a", "b", "c", OTHER, NOISE], "temperature": 1.0}
    (tmp_path / "t.json").write_text(json.dumps(provenance))
    network = write_network(tmp_path / "t.npz", tmp_path / "t.onnx")
    sound = np.random.default_rng(1).standard_normal(samples).astype(np.float32)
    with torch.no_grad():
        mel = TorchLogMel()(torch.from_numpy(sound)[None])
        logits, phones = net(mel[:, None].expand(-1, TWINS, -1, -1))
        logits, phones = logits.mean(dim=1), phones.mean(dim=1)
    found = network.impression(sound)
    np.testing.assert_allclose(log_mel(sound), mel[0].numpy(), atol=2e-4)
    np.testing.assert_allclose(
        network.logits(found.pooled), logits[0].numpy(), rtol=1e-2, atol=1e-2
    )
    log_phones = phones[0].log_softmax(dim=0).T.numpy()
    np.testing.assert_allclose(found.log_phones, log_phones, atol=1e-2)
