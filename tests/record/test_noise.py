"""Noise in a record: beside the content, from the journal alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest

from voicecheck.clock import ManualClock
from voicecheck.record.document import record_document, schema
from voicecheck.record.noise import quantile
from voicecheck.record.steps import NoiseMeasured
from voicecheck.report.page import render
from voicecheck.report.text import to_plain_text
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import good_answers, small_checklist

WALK_ID = "00000000-0000-4000-8000-00000000000a"


def document(tmp_path: Path, *measured: NoiseMeasured) -> dict[str, Any]:
    """The record of a walk with these levels."""
    journal = MemoryJournal()
    session = WalkSession.start(
        journal,
        ManualClock(),
        small_checklist(),
        unit="L-12",
        folder=tmp_path,
        new_id=lambda: WALK_ID,
    )
    for event in measured:
        session.keep_noise(event)
    if measured:
        session.observe("noise_too_loud", None, "88 dB(A), SNR 1 dB")
        session.observe("noise_quiet_again", None, "70 dB(A), SNR 9 dB")
    fill(session, good_answers())
    entries = journal.entries(WALK_ID)
    return record_document(WALK_ID, session.walk, entries, entries[-1].head)


def measured(full_scale_db: float | None = None) -> NoiseMeasured:
    """Nine seconds at -50 dB and one at -30 dB."""
    return NoiseMeasured(
        zone_id="front",
        seconds_at=((-50, 8.0), (-40, 1.5), (-30, 0.5)),
        full_scale_db=full_scale_db,
        device="headset" if full_scale_db else "",
    )


def test_noise_stands_beside_the_content(tmp_path: Path) -> None:
    """The hash of the content is the same with noise and without any."""
    without, with_noise = document(tmp_path), document(tmp_path, measured())

    assert "noise" not in without
    assert with_noise["content_sha256"] == without["content_sha256"]
    jsonschema.validate(without, schema())
    jsonschema.validate(with_noise, schema())


@pytest.mark.parametrize(
    ("full_scale_db", "unit", "median"),
    [(None, "dBFS(A)", -50.0), (120.0, "dB(A)", 70.0)],
)
def test_levels_say_what_they_are_relative_to(
    tmp_path: Path, full_scale_db: float | None, unit: str, median: float
) -> None:
    """Only a calibrated microphone gives dB(A)."""
    noise = document(tmp_path, measured(full_scale_db))["noise"]

    assert noise["unit"] == unit
    assert noise["zones"][0]["median"] == median
    assert noise["zones"][0]["percentile_90"] == median + 10
    assert noise["zones"][0]["seconds"] == 10.0


def test_visits_of_a_zone_are_put_together(tmp_path: Path) -> None:
    """Two halves give the levels of the whole."""
    noise = document(tmp_path, measured(), measured())["noise"]

    assert [zone["seconds"] for zone in noise["zones"]] == [20.0]


def test_page_and_text_show_when_it_was_too_loud(tmp_path: Path) -> None:
    """People see levels, times and what the levels are relative to."""
    record = document(tmp_path, measured(120.0))

    for shown in (render(record), to_plain_text(record)):
        assert "Too loud to hear reliably" in shown
        assert "88 dB(A)" in shown
        assert "headset" in shown


def test_quantile_takes_the_least_value_that_covers_the_share() -> None:
    """By the definition of the inverse distribution function (ISO 3534-1)."""
    assert quantile({1: 1.0, 2: 1.0, 3: 2.0}, 0.5) == 2
    assert quantile({1: 9.0, 5: 1.0}, 0.9) == 1
    with pytest.raises(ValueError, match="no quantile"):
        quantile({}, 0.5)
