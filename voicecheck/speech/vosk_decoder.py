"""The library vosk behind four small calls: load, know a word, decode, forget.

Nothing else touches the library. What it calls confidence is used as what it
is, the log likelihood of a path (acoustic model and graph together); its
"conf" of single words is 1.0 for wrong words and is not used.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.errors import ModelError
from voicecheck.speech.model_folder import check_shape

_KEPT = 400
"""Recognisers kept: each takes about 0.2 MB, making one takes under 1 ms."""
_BLOCK_BYTES = 6_400
"""What is fed at once, 0.2 s: the step in which the library decodes."""


class VoskDecoder:
    """Decode sound against lists of phrases with one model.

    Args:
        folder: the model's folder.

    Raises:
        ModelError: the folder is no model with a run-time grammar, or the
            library cannot be loaded.
    """

    def __init__(self, folder: Path) -> None:
        check_shape(folder)
        try:
            import vosk  # noqa: PLC0415
        except (ImportError, OSError) as error:
            raise ModelError("Vosk cannot be loaded: pip install vosk") from error
        vosk.SetLogLevel(-1)
        self._library: Any = vosk
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # the library raises bare Exception
            raise ModelError(
                f"{folder}: Vosk cannot load this model; unpack it afresh"
            ) from error
        self._recognisers: OrderedDict[tuple[str, ...], Any] = OrderedDict()

    def knows(self, word: str) -> bool:
        """Tell whether a word is in the model's vocabulary."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def decode(self, frames: Frames, phrases: Sequence[str]) -> tuple[str, float]:
        """Return the likeliest words and their log likelihood, in nats.

        Args:
            frames: mono at 16 kHz.
            phrases: what the graph is built from; empty: the model's own.

        Returns:
            "" and minus infinity when no path came to an end.
        """
        recogniser = self._recogniser(tuple(phrases))
        pcm = np.clip(frames * 32_767.0, -32_768, 32_767).astype("<i2").tobytes()
        for at in range(0, len(pcm), _BLOCK_BYTES):
            recogniser.AcceptWaveform(pcm[at : at + _BLOCK_BYTES])
        answer = json.loads(recogniser.FinalResult())
        recogniser.Reset()
        for path in answer.get("alternatives", ()):
            if "confidence" in path:
                return " ".join(path["text"].split()), float(path["confidence"])
        return "", float("-inf")

    def _recogniser(self, phrases: tuple[str, ...]) -> Any:
        """One recogniser a graph: a graph is never changed in mid-utterance."""
        kept = self._recognisers
        if phrases in kept:
            kept.move_to_end(phrases)
            return kept[phrases]
        arguments: list[Any] = [self._model, float(RATE_HZ)]
        if phrases:
            arguments.append(json.dumps(phrases, ensure_ascii=False))
        recogniser = self._library.KaldiRecognizer(*arguments)
        recogniser.SetMaxAlternatives(1)
        kept[phrases] = recogniser
        while len(kept) > _KEPT:
            kept.popitem(last=False)
        return recogniser
