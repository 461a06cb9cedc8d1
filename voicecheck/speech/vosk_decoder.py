"""The library vosk behind four small calls: load, know a word, decode, forget.

Nothing else touches the library. What it calls confidence is used as what it
is, the log likelihood of a path (acoustic model and graph together); its
"conf" of single words is 1.0 for wrong words and is not used.
"""

from __future__ import annotations

import ctypes
import json
import os
from collections import OrderedDict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.errors import ModelError
from voicecheck.speech.model_folder import check_shape

_Key = tuple[tuple[str, ...], int]
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
        vosk.SetLogLevel(-3)  # its warnings go to stderr otherwise
        self._library: Any = vosk
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # the library raises bare Exception
            raise ModelError(
                f"{folder}: Vosk cannot load this model; unpack it afresh"
            ) from error
        self._recognisers: OrderedDict[_Key, Any] = OrderedDict()

    def knows(self, word: str) -> bool:
        """Tell whether a word is in the model's vocabulary."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def decode(
        self, frames: Frames, phrases: Sequence[str], apart: int = 0
    ) -> tuple[str, float]:
        """Return the likeliest words and their log likelihood, in nats.

        Args:
            frames: mono at 16 kHz.
            phrases: what the graph is built from, at least one.
            apart: how many empty phrases are put beside them. The library
                makes a bigram of the phrases, in which the end of one may be
                followed by any other; each empty phrase makes that rarer, 100
                cost about 4 nats, 3,000 about 8.

        Returns:
            "" and minus infinity when no path came to an end.
        """
        recogniser = self._recogniser((tuple(phrases), apart))
        _dither_alike()
        pcm = np.clip(frames * 32_767.0, -32_768, 32_767).astype("<i2").tobytes()
        for at in range(0, len(pcm), _BLOCK_BYTES):
            recogniser.AcceptWaveform(pcm[at : at + _BLOCK_BYTES])
        answer = json.loads(recogniser.FinalResult())
        recogniser.Reset()
        for path in answer.get("alternatives", ()):
            if "confidence" in path:
                return " ".join(path["text"].split()), float(path["confidence"])
        return "", float("-inf")

    def _recogniser(self, key: _Key) -> Any:
        """One recogniser a graph: a graph is never changed in mid-utterance."""
        kept = self._recognisers
        if key in kept:
            kept.move_to_end(key)
            return kept[key]
        phrases, apart = key
        listed = json.dumps([*phrases, *[""] * apart], ensure_ascii=False)
        recogniser = self._library.KaldiRecognizer(self._model, float(RATE_HZ), listed)
        recogniser.SetMaxAlternatives(1)
        kept[key] = recogniser
        while len(kept) > _KEPT:
            kept.popitem(last=False)
        return recogniser


def _dither_alike() -> None:
    """Let the same sound be heard in the same way each time.

    The library adds a little noise to the sound, drawn from the C library's `rand`,
    and what it makes of a doubtful word hangs on it. Windows has no one C library to
    ask: there it stays as it was.
    """
    if os.name == "posix":
        ctypes.CDLL(None).srand(1)
