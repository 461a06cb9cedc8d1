"""Batches of spoken numbers, and the digit network's graph."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ
from voicecheck.bench.corpus import Clip
from voicecheck.speech.network.digit_network import DigitNetwork
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.network.features import log_mel

torch = pytest.importorskip("torch", reason="training needs PyTorch, using does not")


def clip(text: str, hz: float, seconds: float = 0.3) -> Clip:
    """A tone stands for a word."""
    time_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    tone = (0.5 * np.sin(2 * np.pi * hz * time_s)).astype(np.float32)
    return Clip(text=text, label="", voice="espeak/en/s1", frames=tone)


def corpus() -> list[Clip]:
    """One voice: every digit, two strings and other speech."""
    singles = [clip(word, 200 + 100 * i) for i, word in enumerate(WORDS)]
    strings = [clip("four five zero", 400, 0.9), clip("one point two", 700, 0.9)]
    # the noises of training are made of 300 clips and more
    return [*singles, *strings, *[clip("who left this here", 1_500, 0.8)] * 300]


def test_batches_hold_numbers_other_speech_and_silence() -> None:
    """Each trial's words are a number's; other speech and noise have none."""
    from voicecheck.bench.training.digit_batches import NumberBatches

    batches = NumberBatches(corpus(), seed=3, device="cpu")

    batch = batches.batch(200)

    lengths, kinds = batch.lengths.numpy(), batch.target.numpy()
    assert set(kinds) == {0, 1, 2, 3}
    assert (lengths[kinds >= 2] == 0).all()
    assert (lengths[kinds == 1] >= 1).all()
    assert set(lengths[kinds == 0]) <= {-1, 3}
    points = batch.phones.numpy() == WORDS.index("point")
    for row in np.flatnonzero(kinds == 1):
        assert points[row, : lengths[row]].sum() <= 1
    assert torch.isfinite(batch.sound).all()


def test_the_graph_says_what_the_network_says(tmp_path: Path) -> None:
    """For even and odd lengths, at the precision of half the bits."""
    from voicecheck.bench.training import digit_graph
    from voicecheck.bench.training.digit_net import DigitNet

    torch.manual_seed(1)
    net = DigitNet()
    with torch.no_grad():
        for _ in range(3):
            net(torch.randn(4, 40, 90))
    net.eval()
    state = {name: value.numpy() for name, value in net.state_dict().items()}
    np.savez(tmp_path / "d.npz", **state)
    (tmp_path / "d.json").write_text(json.dumps({"words": WORDS}))

    digit_graph.main([str(tmp_path / "d.npz"), str(tmp_path / "d.onnx")])

    network = DigitNetwork.load(tmp_path / "d.onnx")
    for samples in (RATE_HZ, 2 * RATE_HZ - 77):
        sound = np.random.default_rng(1).standard_normal(samples).astype(np.float32)
        with torch.no_grad():
            logits = net(torch.from_numpy(log_mel(sound))[None])
        expected = logits[0].log_softmax(dim=0).T.numpy()
        np.testing.assert_allclose(network.log_words(sound), expected, atol=1e-2)
