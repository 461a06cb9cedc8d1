"""The ways of hearing that are compared: bare engines and the network.

Each says, for one sound and one set of phrases, which phrase it takes it for
and how sure it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.suppression import suppress
from voicecheck.speech.network.enrolled import EnrolledHead
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

__all__ = ["Engine", "EnrolledNetwork", "Guess", "Network", "Sphinx"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """What an engine makes of one sound."""

    phrase: str | None
    """The likeliest phrase; None when the engine found none at all."""
    confidence: float
    """Probability of that phrase as the engine states it; 1.0 where it has no say."""


class Engine(Protocol):
    """Hears one phrase out of a fixed set."""

    name: str

    def guess(self, frames: Frames) -> Guess:
        """Say what was heard."""
        ...


def _best(posteriors: Mapping[str, float]) -> Guess:
    phrases = {w: p for w, p in posteriors.items() if w not in (OTHER, NOISE)}
    phrase = max(phrases, key=phrases.__getitem__)
    return Guess(phrase=phrase, confidence=phrases[phrase])


class Sphinx:
    """PocketSphinx with a JSGF grammar of the phrases, bare or after RNNoise.

    The whole clip is one utterance; the engine's own confidence means nothing
    in grammar mode (its probability is shared among duplicate paths), so every
    result counts as accepted.
    """

    def __init__(self, phrases: tuple[str, ...], *, denoise: bool) -> None:
        """Load the model in PocketSphinx's package."""
        from pocketsphinx import Config, Decoder  # noqa: PLC0415

        self.name = "RNNoise + PocketSphinx" if denoise else "PocketSphinx"
        self._denoise = denoise
        self._decoder: Any = Decoder(Config(lm=None, loglevel="FATAL"))
        rule = " | ".join(phrases)
        grammar = f"#JSGF V1.0;\ngrammar bench;\npublic <bench> = {rule};\n"
        self._decoder.add_jsgf_string("bench", grammar)
        self._decoder.activate_search("bench")

    def guess(self, frames: Frames) -> Guess:
        """Decode the clip as one utterance."""
        sound = suppress(frames) if self._denoise else frames
        pcm = (np.clip(sound, -1, 1) * 32767).astype(np.int16)
        self._decoder.start_utt()
        self._decoder.process_raw(pcm.tobytes(), full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return Guess(phrase=(found.hypstr or None) if found else None, confidence=1.0)


@dataclass
class Network:
    """The small network, a stranger's voice."""

    network: WordNetwork
    phrases: tuple[str, ...]
    name: str = "network, stranger"
    _active: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        """Note which phrases may be said."""
        self._active = frozenset(self.phrases)

    def guess(self, frames: Frames) -> Guess:
        """Take the likeliest phrase of those that may be said."""
        return _best(self.network.posteriors(frames, self._active))


@dataclass
class EnrolledNetwork:
    """The small network with one operator's last layer."""

    network: WordNetwork
    head: EnrolledHead
    name: str = "network, enrolled"

    def guess(self, frames: Frames) -> Guess:
        """Take the likeliest enrolled phrase."""
        return _best(self.head.posteriors(self.network.embedding(frames)))
