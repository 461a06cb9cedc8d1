"""The small network: features, posteriors, and an enrolled last layer."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.training.finish import write_network
from voicecheck.errors import ModelError
from voicecheck.speech.network.enrolled import fit_head
from voicecheck.speech.network.features import BANDS, log_mel, mel_weights
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork
from voicecheck.speech.network.phones import SYMBOLS
from voicecheck.testing.reference_network import forward

LABELS = ("good", "defect", OTHER, NOISE)
TWINS = 2
WIDTH = 12
"""Of each twin."""


def trained() -> dict[str, np.ndarray]:
    """Arrays of a tiny network with random weights, as training leaves them."""
    rng = np.random.default_rng(1)
    wide = TWINS * WIDTH
    shapes: dict[str, tuple[int, ...]] = {
        "first.weight": (TWINS * 4, 1, 3, 3),
        "first.bias": (TWINS * 4,),
        "mix.weight": (wide, 4 * BANDS // 2, 1),
        "mix.bias": (wide,),
        "phones.weight": (len(SYMBOLS), wide, 1),
        "phones.bias": (len(SYMBOLS),),
        "last.weight": (4, 2 * wide),
        "last.bias": (4,),
    }
    for block in ("block0", "block1"):
        shapes |= {
            f"{block}.depthwise.weight": (wide, 1, 5),
            f"{block}.depthwise.bias": (wide,),
            f"{block}.pointwise.weight": (wide, WIDTH, 1),
            f"{block}.pointwise.bias": (wide,),
            f"{block}.squeeze.weight": (TWINS * 3, WIDTH, 1),
            f"{block}.squeeze.bias": (TWINS * 3,),
            f"{block}.excite.weight": (wide, 3, 1),
            f"{block}.excite.bias": (wide,),
        }
    # as the file keeps them: at half precision
    arrays = {
        name: (0.3 * rng.standard_normal(shape)).astype(np.float16).astype(np.float32)
        for name, shape in shapes.items()
    }
    arrays["dilations"] = np.array([1, 2])
    arrays["halved_after"] = np.array([1])
    arrays["phones_after"] = np.array([1])
    arrays["twins"] = np.array([TWINS])
    return arrays


@pytest.fixture(scope="module")
def network(tmp_path_factory: pytest.TempPathFactory) -> WordNetwork:
    """The tiny network, written and read back."""
    folder = tmp_path_factory.mktemp("network")
    np.savez(folder / "trained.npz", **trained())  # type: ignore[arg-type]
    provenance = {"labels": LABELS, "temperature": 2.0}
    (folder / "trained.json").write_text(json.dumps(provenance))
    return write_network(folder / "trained.npz", folder / "tiny.onnx")


def tone(hz: float, seconds: float = 0.4) -> Frames:
    """A tone with three harmonics: a word of our toy language."""
    time_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    waves = [np.sin(2 * np.pi * hz * k * time_s) / k for k in (1, 2, 3)]
    return (0.2 * np.sum(waves, axis=0)).astype(np.float32)


def hiss(seed: int = 1, samples: int = RATE_HZ) -> Frames:
    """White noise."""
    return np.random.default_rng(seed).standard_normal(samples).astype(np.float32)


def test_mel_bands_follow_the_htk_formula() -> None:
    """Band centres are even steps of 2595 log10(1 + f/700).

    Source: HTK Book, mel scale. 1000 Hz is 1000 mel by its design.
    """
    assert 2595 * np.log10(1 + 1000 / 700) == pytest.approx(1000, abs=0.2)
    centres = np.argmax(mel_weights(), axis=1) * RATE_HZ / 512
    mels = 2595 * np.log10(1 + centres / 700)
    steps = np.diff(mels[8:])
    assert np.std(steps) < 0.25 * np.mean(steps)


@settings(deadline=None, max_examples=25)
@given(gain=st.floats(1e-3, 50), samples=st.integers(400, 20_000))
def test_features_ignore_level(gain: float, samples: int) -> None:
    """A louder or softer clip has the same features."""
    frames = hiss(3, samples)
    features = log_mel(frames)
    assert features.shape == (BANDS, 1 + (samples - 400) // 160)
    np.testing.assert_allclose(log_mel(frames * np.float32(gain)), features, atol=1e-3)


def test_silence_has_finite_features() -> None:
    """Digital silence gives zeros, not infinities."""
    assert not log_mel(np.zeros(4000, np.float32)).any()


def test_too_short_is_refused() -> None:
    """Less than one window is an error."""
    with pytest.raises(ValueError, match="at least 400"):
        log_mel(np.zeros(399, np.float32))


def test_posteriors_sum_to_one(network: WordNetwork) -> None:
    """All labels get a share; shares sum to 1."""
    found = network.posteriors(hiss())
    assert tuple(found) == LABELS
    assert sum(found.values()) == pytest.approx(1)
    assert network.phrases == ("good", "defect")


def test_what_may_not_be_said_counts_as_other(network: WordNetwork) -> None:
    """Leaving a phrase out moves its share to OTHER and changes no other."""
    everything = network.posteriors(hiss())
    some = network.posteriors(hiss(), frozenset({"good"}))
    assert set(some) == {"good", OTHER, NOISE}
    assert some["good"] == pytest.approx(everything["good"])
    assert some[OTHER] == pytest.approx(everything[OTHER] + everything["defect"])


def test_files_that_do_not_fit_are_refused(
    network: WordNetwork, tmp_path: Path
) -> None:
    """Missing files and a wrong number of classes are model errors."""
    path = tmp_path / "n.npz"
    with pytest.raises(ModelError, match="cannot read"):
        WordNetwork.load(path.with_suffix(".onnx"))
    np.savez(path, **trained())  # type: ignore[arg-type]
    provenance = {"labels": ["good"], "temperature": 1.0}
    path.with_suffix(".json").write_text(json.dumps(provenance))
    with pytest.raises(ModelError, match="different numbers"):
        write_network(path, tmp_path / "n.onnx")
    with pytest.raises(ModelError, match="background"):
        _ = network.background


@pytest.mark.parametrize("samples", [RATE_HZ, RATE_HZ + 160, 20_077])
def test_the_graph_computes_what_its_arrays_say(
    network: WordNetwork, samples: int
) -> None:
    """ONNX Runtime and a plain NumPy computation agree, for odd lengths too."""
    sound = hiss(4, samples)
    pooled, phones = forward(log_mel(sound), trained())
    found = network.impression(sound)
    np.testing.assert_allclose(found.pooled, pooled, rtol=1e-3, atol=1e-4)
    np.testing.assert_allclose(found.log_phones, phones, rtol=1e-3, atol=1e-3)


def test_three_examples_teach_new_words() -> None:
    """Words that the network never met, here chords, are told apart after enrolment."""
    network = WordNetwork.load()
    words = {"low": 300.0, "high": 1500.0}
    examples = {w: [tone(hz * r) for r in (0.97, 1, 1.03)] for w, hz in words.items()}
    background = {
        OTHER: np.stack([network.embedding(tone(5000 + 100 * i)) for i in range(8)]),
        NOISE: np.stack([network.embedding(hiss(i)) for i in range(8)]),
    }
    head = fit_head(network, examples, background, pull=1e-4)
    for word, hz in words.items():
        heard = np.concatenate(
            [0.001 * hiss(9, 6400), tone(hz * 1.01), 0.001 * hiss(8)]
        )
        found = head.posteriors(network.embedding(heard.astype(np.float32)))
        assert max(found, key=found.__getitem__) == word


def test_enrolment_needs_an_example(network: WordNetwork) -> None:
    """No examples is an error that says what to do."""
    with pytest.raises(ValueError, match="at least one phrase"):
        fit_head(network, {}, {})
