"""How each answer came in: the appendix of a record, for page and PDF alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from voicecheck.report.labels_file import Labels
from voicecheck.report.view import prompt
from voicecheck.report.wording import (
    answer_words,
    clock_words,
    measure_words,
    share_words,
)

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class HowView:
    """One answer as it came in; what is not known is empty."""

    time: str
    """UTC, to the second."""
    point: str
    answer: str
    withdrawn: bool
    """It was taken back, and does not count."""
    flags: tuple[str, ...]
    """What should catch the eye, in words."""
    given_by: str
    """Voice, keyboard or browser."""
    heard: str
    confirmed: str
    confidence: str
    tries: str
    after_prompt: str
    """From the beginning of the prompt to the beginning of the answer."""
    background: str
    """Level of the background while it was listened for."""
    voice_over_noise: str


def how(document: Data, at: Labels) -> tuple[HowView, ...]:
    """Return how each answer came in, in the order given."""
    return tuple(_one(document, entry, at) for entry in document["how"])


def _one(document: Data, entry: Data, at: Labels) -> HowView:
    flags = {
        at["text"]["withdrawn"]: entry["withdrawn"],
        at["text"]["too_fast"]: entry["too_fast"],
        at["text"]["over_prompt"]: entry.get("barge_in"),
    }
    mode, confirmed_by, tries = entry["mode"], entry["confirmed_by"], entry["tries"]
    return HowView(
        time=clock_words(entry["at_utc"]),
        point=prompt(document, entry["checkpoint"]),
        answer=_answer(document, entry, at),
        withdrawn=entry["withdrawn"],
        flags=tuple(text for text, holds in flags.items() if holds),
        given_by=at["mode"].get(mode, mode or ""),
        heard=", ".join(entry["words"] or ()),
        confirmed=at["confirmed"].get(confirmed_by, confirmed_by or ""),
        confidence=share_words(entry["confidence"]),
        tries="" if tries is None else str(tries),
        after_prompt=measure_words(entry["after_prompt_s"], "s"),
        background=measure_words(entry["noise_dbfs"], "dBFS"),
        voice_over_noise=measure_words(entry["snr_db"], "dB"),
    )


def _answer(document: Data, entry: Data, at: Labels) -> str:
    """An answer, with the unit that the record keeps elsewhere."""
    words = document["words"]
    unit = words["limits"].get(entry["checkpoint"], {}).get("unit", "")
    return answer_words({**entry["answer"], "unit": unit}, words, at)
