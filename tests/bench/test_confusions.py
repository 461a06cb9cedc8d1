"""Counting what was taken for what."""

from __future__ import annotations

from pathlib import Path

from voicecheck.bench.confusions import confusions_of, write_confusions
from voicecheck.bench.measure import Outcome
from voicecheck.bench.phrases import OTHER
from voicecheck.speech.vocabulary.confusions import read_confusions


def outcome(said: str, heard: str | None, confidence: float) -> Outcome:
    """One trial in any noise."""
    return Outcome(
        condition="pink 5",
        said=said,
        text=said or "chatter",
        heard=heard,
        confidence=confidence,
        speaker="s",
    )


OUTCOMES = [
    outcome("good", "good", 0.9),
    outcome("good", "leak", 0.4),
    outcome("good", None, 0.0),
    outcome(OTHER, "good", 0.9),
]


def test_phrases_are_counted_and_other_speech_is_not() -> None:
    """Only what has a phrase of ours behind it is in the matrix."""
    matrix = confusions_of(OUTCOMES, "trial")
    assert matrix.counts == {"good": {"": 1, "good": 1, "leak": 1}}


def test_refused_phrases_count_as_nothing_heard() -> None:
    """Below the confidence that is accepted nothing was heard."""
    matrix = confusions_of(OUTCOMES, "trial", accept=0.5)
    assert matrix.counts == {"good": {"": 2, "good": 1}}


def test_the_file_is_what_the_vocabulary_reads(tmp_path: Path) -> None:
    """Written and read again it is the same."""
    path = tmp_path / "confusions.json"
    matrix = confusions_of(OUTCOMES, "trial")
    write_confusions(path, matrix)
    assert read_confusions(path) == matrix
