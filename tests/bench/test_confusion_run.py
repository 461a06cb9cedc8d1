"""Counting what each question's phrases are taken for."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.bench.confusion_run import asked_sets, count_confusions
from voicecheck.bench.confusions import write_confusions
from voicecheck.bench.hearing import conditions_named
from voicecheck.errors import UsageError
from voicecheck.speech.vocabulary.confusions import read_confusions
from voicecheck.testing.scripted_hearing import Deaf, Loud, whistle


def test_each_phrase_is_counted_as_what_was_heard(tmp_path: Path) -> None:
    """The scripted recogniser takes both phrases for major; the rest has no clip."""
    told: list[str] = []
    matrix = count_confusions(
        asked_sets(["severity"]),
        [whistle("minor"), whistle("major"), whistle("good")],
        conditions_named("quiet"),
        Deaf("major"),
        Loud(),
        repeats=2,
        seed=1,
        source="script",
        progress=told.append,
    )
    write_confusions(tmp_path / "c.json", matrix)

    assert matrix.counts == {"minor": {"major": 2}, "major": {"major": 2}}
    assert read_confusions(tmp_path / "c.json").rate("minor", "major") == 0.5
    assert "without a clip: critical" in told[0]


def test_questions_with_numbers_are_left_out() -> None:
    """All others are asked; a wrong name is told."""
    names = {active.question for active in asked_sets()}

    assert {"condition", "severity", "yes_no"} <= names
    assert "number" not in names
    with pytest.raises(UsageError, match="no question with phrases"):
        asked_sets(["number"])
