"""Numbers, limits and times in words."""

from __future__ import annotations

import time

import pytest

from voicecheck.report.labels_file import labels
from voicecheck.report.wording import (
    duration_words,
    limits_words,
    number_words,
    time_words,
)

EN = labels("en")


@pytest.mark.parametrize(
    ("value", "text"),
    [(4527.3, "4527.3"), (350.0, "350"), (350, "350"), (-0.5, "-0.5"), (0, "0")],
)
def test_numbers_keep_their_digits(value: float, text: str) -> None:
    """No digit is lost and no zero is added."""
    assert number_words(value) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (59.6, "1 min 00 s"),
        (125, "2 min 05 s"),
        (3725, "1 h 02 min 05 s"),
    ],
)
def test_durations(seconds: float, text: str) -> None:
    """Hours, minutes and seconds, rounded to the second."""
    assert duration_words(seconds) == text


@pytest.mark.parametrize(
    ("limits", "text"),
    [
        (None, ""),
        ((None, None, None, None), ""),
        ((None, 400.0, None, None), "from 400 kPa"),
        ((None, None, 6.2, 7.5), "to 6.2 kPa; out of bounds: above 7.5 kPa"),
        (
            (300.0, 400.0, 550.0, 650.0),
            "from 400 to 550 kPa; out of bounds: below 300, above 650 kPa",
        ),
    ],
)
def test_limits(limits: tuple[float | None, ...] | None, text: str) -> None:
    """Only the limits that there are."""
    names = ("far_low", "low", "high", "far_high")
    data = limits and {**dict(zip(names, limits, strict=True)), "unit": "kPa"}

    assert limits_words(data, EN) == text


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set here")
def test_times_in_utc_and_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """UTC always; the local time beside it where it differs."""
    monkeypatch.setenv("TZ", "Asia/Seoul")
    time.tzset()
    seoul = time_words("2026-01-05T21:00:00.000Z", EN, local_time=True)
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    here = time_words("2026-01-05T21:00:00.000Z", EN, local_time=True)
    monkeypatch.undo()
    time.tzset()

    assert seoul == "2026-01-05 21:00:00 UTC (local 2026-01-06 06:00 +0900)"
    assert here == "2026-01-05 21:00:00 UTC"
