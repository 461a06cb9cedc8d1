"""A fitted voice as bytes and back."""

from __future__ import annotations

import json
from io import BytesIO
from typing import Any

import numpy as np

from voicecheck.speech.enrolment.fitting import FittedVoice
from voicecheck.speech.network.enrolled import EnrolledHead

__all__ = ["from_bytes", "to_bytes"]


def to_bytes(voice: FittedVoice) -> bytes:
    """Pack a fitted voice; rows keep half precision."""
    phrases = sorted(voice.phrases)
    packed = BytesIO()
    names = {
        "labels": list(voice.head.labels),
        "phrases": phrases,
        "pitch_hz": voice.pitch_hz,
    }
    arrays: dict[str, Any] = {
        "names": np.frombuffer(json.dumps(names).encode(), dtype=np.uint8),
        "weight": voice.head.weight.astype(np.float32),
    }
    for number, phrase in enumerate(phrases):
        arrays[f"words{number}"] = voice.words[phrase].astype(np.float16)
        arrays[f"spectra{number}"] = voice.spectra[phrase].astype(np.float16)
    np.savez_compressed(packed, allow_pickle=False, **arrays)
    return packed.getvalue()


def from_bytes(data: bytes) -> FittedVoice:
    """Unpack what `to_bytes` packed.

    Raises:
        ValueError, KeyError, OSError: it is something else.
    """
    with np.load(BytesIO(data), allow_pickle=False) as archive:
        names = json.loads(archive["names"].tobytes())
        phrases: list[str] = names["phrases"]
        weight = archive["weight"].astype(np.float64)
        return FittedVoice(
            head=EnrolledHead(labels=tuple(names["labels"]), weight=weight),
            phrases=frozenset(phrases),
            words={
                p: archive[f"words{n}"].astype(np.float32)
                for n, p in enumerate(phrases)
            },
            spectra={
                p: archive[f"spectra{n}"].astype(np.float64)
                for n, p in enumerate(phrases)
            },
            pitch_hz=names["pitch_hz"],
        )
