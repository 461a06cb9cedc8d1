"""The map that tells whether a walk goes on in the same voice."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.resample import resample
from voicecheck.bench.corpus import Clip
from voicecheck.bench.training import fit_walk_match
from voicecheck.bench.training.fit_enrolled import fit_map
from voicecheck.bench.training.fit_walk_match import walk_rows
from voicecheck.bench.trials import CONDITIONS
from voicecheck.speech.calibration import load_calibration
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice

VOICES = {"her": ("en-us+f3", 70), "him": ("en-gb-x-rp+m3", 10)}


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> list[Clip]:
    """A woman and a man of the program's own synthesiser say two words."""
    made = []
    with Pyttsx3Synthesiser(tmp_path_factory.mktemp("spoken")) as synthesiser:
        for speaker, (name, pitch) in VOICES.items():
            voice = Voice(name=name, words_a_minute=150, pitch=pitch)
            for text in ("good", "defect", "wood"):
                sound = synthesiser.speak_as(text, voice)
                frames = resample(sound.frames, sound.rate_hz, RATE_HZ)
                made.append(
                    Clip(
                        text=text,
                        label=text if text != "wood" else "",
                        voice=f"espeak/{speaker}/150",
                        frames=frames * np.float32(0.5 / np.abs(frames).max()),
                    )
                )
    return made


def test_the_same_voice_is_nearer_than_another(
    clips: list[Clip], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each word is compared once with its own speaker, once with one of other pitch."""
    quiet = [c for c in CONDITIONS if c.kind is NoiseKind.QUIET]
    monkeypatch.setattr(fit_walk_match, "CONDITIONS", quiet)
    rows = walk_rows(WordNetwork.load(), clips, 6, seed=3)
    same = [found for found, hit, _ in rows if hit]
    other = [found for found, hit, _ in rows if not hit]

    assert len(same) == len(other) == 6
    assert [f["one_example"] for f in same] == [f["one_example"] for f in other]
    assert np.median([f["pitch_octaves"] for f in same]) < 0.2
    assert np.median([f["pitch_octaves"] for f in other]) > 0.5
    assert fit_map(rows, provenance="a test").weights["pitch_octaves"] < 0


def test_what_is_drawn_follows_from_the_seed(clips: list[Clip]) -> None:
    """The same seed, the same rows."""
    one, two = (walk_rows(WordNetwork.load(), clips, 2, seed=5) for _ in range(2))

    assert one == two


def test_the_shipped_map_says_what_it_was_fitted_on() -> None:
    """By the sister network that had not heard these voices."""
    shipped = load_calibration("walk-match")

    assert "2000 words of festvox" in shipped.provenance
    assert "trained on ['espeak', 'style', 'tube', 'morphed']" in shipped.provenance
    assert shipped.weights["features"] < 0
