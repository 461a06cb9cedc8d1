"""The result of the latency benchmark as it is written: latency.json."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from voicecheck import __version__
from voicecheck.audio.loudspeaker import LATENCIES_S
from voicecheck.bench.latency import Answered
from voicecheck.speech.early_ending import EarlySettings

__all__ = ["GOALS", "LatencyResult", "Part", "latency_result"]

GOALS = {"answer_s": 0.4, "real_time_factor": 0.15, "resident_mb": 200.0}
"""At the 95th percentile; of one core; of the process that hears."""

Positive = Annotated[float, Field(ge=0)]


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Part(_Model):
    """The distribution of one part of the time, seconds."""

    name: str
    count: int
    p50_s: float
    p95_s: float
    p99_s: float

    @classmethod
    def of(cls, name: str, values_s: Sequence[float]) -> Part:
        """Sum values up; there must be one at least."""
        p50, p95, p99 = (float(p) for p in np.percentile(values_s, (50, 95, 99)))
        return cls(name=name, count=len(values_s), p50_s=p50, p95_s=p95, p99_s=p99)


class LatencyResult(_Model):
    """A whole run."""

    schema_: Literal["voicecheck.bench.latency"] = Field(
        default="voicecheck.bench.latency", alias="schema"
    )
    version: Literal[2] = 2
    voicecheck: str
    goals: dict[str, float]
    answers_s: tuple[float, ...]
    """From the end of each word to the first sample of the read-back."""
    missed: Annotated[int, Field(ge=0)]
    """Words that the end-pointing did not find."""
    parts: tuple[Part, ...]
    by_noise: tuple[Part, ...]
    """The whole time in each noise."""
    looks: Part
    """How often the recogniser was asked for one answer; no seconds."""
    long_pauses: Annotated[int, Field(ge=0)]
    """Words with a pause inside as long as the silence that may end one."""
    real_time_factor: Positive
    """Processor time of decoding and denoising for each second decoded."""
    all_looks_factor: Positive
    """The same with the looks that were thrown away."""
    resident_mb: Positive


def latency_result(
    answered: Sequence[Answered],
    missed: int,
    *,
    tone_s: float,
    tone_length_s: float,
    cached_s: Sequence[float],
    uncached_s: Sequence[float],
    resident_mb: float,
) -> LatencyResult:
    """Sum a run up.

    Args:
        answered: at least one answer.
        missed: words that were not found.
        tone_s: time to make the tone that opens the read-back.
        tone_length_s: how long it sounds before the words.
        cached_s: time to have words that were spoken before; may be empty.
        uncached_s: the same for new words; may be empty.
        resident_mb: memory of the process that hears.
    """
    totals = [one.total_s(tone_s) for one in answered]
    parts = [
        Part.of("end of word to its end known", [a.endpoint_s for a in answered]),
        Part.of("still to do then", [a.backlog_s for a in answered]),
        Part.of("last look, mostly in the wait", [a.decode_s for a in answered]),
        Part.of("first sample of the read-back's tone", [tone_s]),
        Part.of("all: end of word to the read-back", totals),
        Part.of("buffer asked of the loudspeaker", [LATENCIES_S[0]]),
        Part.of("all, to the air", [t + LATENCIES_S[0] for t in totals]),
    ]
    for name, ready in (("cached", cached_s), ("spoken anew", uncached_s)):
        if ready:
            parts.append(Part.of(f"words {name} ready", ready))
            words = [t + tone_length_s + r for t in totals for r in ready]
            parts.append(Part.of(f"all, to the words after the tone, {name}", words))
    seconds = sum(a.utterance_s for a in answered)
    noises = dict.fromkeys(a.condition for a in answered)
    return LatencyResult(
        voicecheck=__version__,
        goals=GOALS,
        answers_s=tuple(round(t, 4) for t in totals),
        missed=missed,
        parts=tuple(parts),
        by_noise=tuple(
            Part.of(n, [a.total_s(tone_s) for a in answered if a.condition == n])
            for n in noises
        ),
        looks=Part.of("looks", [a.looks for a in answered]),
        long_pauses=sum(a.pause_s >= EarlySettings().end_s for a in answered),
        real_time_factor=sum(a.decode_processor_s for a in answered) / seconds,
        all_looks_factor=sum(a.looks_processor_s for a in answered) / seconds,
        resident_mb=resident_mb,
    )
