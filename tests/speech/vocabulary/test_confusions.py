"""Reading a confusion matrix."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.errors import UsageError
from voicecheck.speech.vocabulary.confusions import Confusions, read_confusions

GOOD = (
    '{"schema": "voicecheck.confusions", "version": 1, "source": "trial",'
    ' "counts": {"good": {"good": 96, "leak": 3, "": 1}, "leak": {"leak": 100}}}'
)


def test_the_rate_counts_both_directions(tmp_path: Path) -> None:
    """Three of two hundred trials with either word were mixed up."""
    path = tmp_path / "matrix.json"
    path.write_text(GOOD)

    matrix = read_confusions(path)

    assert matrix.rate("good", "leak") == matrix.rate("leak", "good") == 3 / 200
    assert matrix.rate("yes", "no") is None


def test_it_reads_what_it_writes(tmp_path: Path) -> None:
    """A matrix comes back as it was."""
    path = tmp_path / "matrix.json"
    matrix = Confusions(source="x", counts={"yes": {"yes": 2, "": 1}})
    path.write_text(matrix.model_dump_json(by_alias=True))
    assert read_confusions(path) == matrix


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no confusion matrix"),
        ("[]", "no confusion matrix"),
        ('{"version": 1}', "counts"),
        (GOOD.replace("1,", "2,", 1), "version"),
        (GOOD.replace("96", "-1"), "counts.good.good"),
        (GOOD.replace('"source"', '"sauce"'), "sauce"),
    ],
)
def test_another_file_is_refused_with_the_place(
    tmp_path: Path, text: str, words: str
) -> None:
    """The error names the file and what is wrong in it."""
    path = tmp_path / "other.json"
    path.write_text(text)
    with pytest.raises(UsageError, match=words):
        read_confusions(path)


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    """The path is named."""
    with pytest.raises(UsageError, match=r"nothing\.json"):
        read_confusions(tmp_path / "nothing.json")
