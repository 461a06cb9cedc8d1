"""How the time of one answer is put together."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from voicecheck.bench.contestants import eleven
from voicecheck.bench.goals import condition_named
from voicecheck.bench.latency import Answered, Stopwatch, longest_run, time_one
from voicecheck.bench.latency_report import histogram, latency_text
from voicecheck.bench.latency_result import LatencyResult, latency_result
from voicecheck.speech.early_ending import EarlySettings
from voicecheck.testing.scripted_hearing import Deaf, Loud, whistle


def watch(step_s: float) -> Stopwatch:
    """A clock that goes on by one step each time it is read."""

    def ticks() -> Iterator[float]:
        now = 0.0
        while True:
            yield now
            now += step_s

    run = ticks()
    return lambda: next(run)


def timed(step_s: float) -> Answered | None:
    """One loud whistle in quiet."""
    quiet = condition_named("quiet")
    assert quiet is not None
    return time_one(
        whistle("good"),
        quiet,
        Loud(),
        Deaf(),
        eleven(),
        np.random.default_rng(1),
        wall=watch(step_s),
        processor=watch(0.0),
    )


def test_a_fast_computer_waits_for_the_end_pointing_only() -> None:
    """The silence that ends a sure word, and the rest of two blocks at most."""
    answer = timed(0.0)

    assert answer is not None
    least = EarlySettings().end_s
    assert least - 0.032 <= answer.endpoint_s <= least + 0.064
    assert (answer.backlog_s, answer.decode_s) == (0.0, 0.0)
    assert answer.looks == 1
    assert answer.total_s(0.01) == pytest.approx(answer.endpoint_s + 0.01)


def test_a_computer_that_is_late_for_every_block_falls_behind() -> None:
    """50 ms of work for each 32 ms of sound add up."""
    answer = timed(0.05)

    assert answer is not None
    assert answer.backlog_s > 0.5
    assert answer.decode_s == pytest.approx(0.05)
    assert answer.total_s() == pytest.approx(answer.endpoint_s + answer.backlog_s)


def answered(endpoint_s: float, decode_s: float, pause_s: float = 0.0) -> Answered:
    """One answer."""
    return Answered(
        condition="quiet",
        text="good",
        endpoint_s=endpoint_s,
        backlog_s=0.0,
        decode_s=decode_s,
        utterance_s=1.0,
        decode_processor_s=decode_s,
        looks_processor_s=2 * decode_s,
        looks=2,
        pause_s=pause_s,
    )


def result() -> LatencyResult:
    """Of a hundred answers, 400 to 499 ms and a tenth of a second."""
    return latency_result(
        [answered(0.4 + i / 1000, 0.1, 0.2 * (i == 0)) for i in range(100)],
        3,
        tone_s=0.001,
        tone_length_s=0.1,
        cached_s=[0.002],
        uncached_s=[0.2],
        resident_mb=250.0,
    )


def test_percentiles_and_goals() -> None:
    """Against NumPy's linear percentiles; what is missed is said."""
    whole = next(p for p in result().parts if p.name.startswith("all: "))
    text = latency_text(result())

    assert whole.p50_s == pytest.approx(0.4505)
    assert whole.p95_s == pytest.approx(0.49505)
    assert result().real_time_factor == pytest.approx(0.1)
    assert result().all_looks_factor == pytest.approx(0.2)
    assert result().long_pauses == 1
    assert text.count("MISSED") == 2
    assert "buffer asked of the loudspeaker" in text


def test_the_result_survives_being_written() -> None:
    """JSON and back."""
    written = result().model_dump_json(by_alias=True)

    assert LatencyResult.model_validate_json(written) == result()


def test_histogram_counts_and_marks_the_goal() -> None:
    """Three bins of 50 ms; the one that ends at 400 ms is marked."""
    lines = histogram((0.36, 0.37, 0.41, 0.47), 0.4).splitlines()

    assert [int(line.split()[1]) for line in lines] == [2, 1, 1]
    assert "goal" in lines[0]
    assert "goal" not in lines[1]


@pytest.mark.parametrize(("marks", "longest"), [("", 0), ("..x.xx.", 2), ("xxx", 3)])
def test_longest_run(marks: str, longest: int) -> None:
    """Of marks that follow on each other."""
    assert longest_run(mark == "x" for mark in marks) == longest
