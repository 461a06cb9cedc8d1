"""The NumPy network computes what the trained PyTorch network computes."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ
from voicecheck.speech.network.features import log_mel
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

torch = pytest.importorskip("torch", reason="training needs PyTorch, using does not")


@pytest.mark.parametrize("samples", [RATE_HZ, RATE_HZ * 2 - 77, RATE_HZ + 160])
def test_numpy_equals_torch(samples: int) -> None:
    """Features and logits agree to rounding, for even and odd lengths."""
    from voicecheck.bench.training.net import (
        SpokenWordNet,
        TorchLogMel,
        export_arrays,
    )

    torch.manual_seed(1)
    net = SpokenWordNet(5)
    net.train()
    with torch.no_grad():
        for _ in range(3):
            net(torch.randn(4, 40, 90))
    net.eval()
    sound = np.random.default_rng(1).standard_normal(samples).astype(np.float32)
    network = WordNetwork(
        labels=("a", "b", "c", OTHER, NOISE),
        temperature=1.0,
        arrays=export_arrays(net),
        provenance={},
    )
    with torch.no_grad():
        mel = TorchLogMel()(torch.from_numpy(sound)[None])
        logits = net(mel)[0].numpy()
    np.testing.assert_allclose(log_mel(sound), mel[0].numpy(), atol=2e-4)
    np.testing.assert_allclose(network.logits(sound), logits, rtol=1e-3, atol=2e-3)
