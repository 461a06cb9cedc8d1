"""A strange voice that is often not understood is told what helps."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.cli.enrol_hint import EnrolHint
from voicecheck.cli.voices import hearing
from voicecheck.speech.engines import Engine


def heard(hint: EnrolHint, *, taken: int, lost: int) -> EnrolHint:
    """Let it hear so many words."""
    for _ in range(taken):
        hint.watch("heard", {"outcome": "accept"})
    for _ in range(lost):
        hint.watch("heard", {"outcome": "reject"})
        hint.watch("nomatch", {})
    return hint


def test_a_voice_that_is_often_lost_is_told_the_command() -> None:
    """With the figures, and the operator's own id."""
    text = heard(EnrolHint("kim"), taken=80, lost=20).text()
    assert text is not None
    assert "20 of 100 times" in text
    assert "voicecheck enrol --words quick --operator 'kim'" in text
    assert "--operator ID" in (heard(EnrolHint(""), taken=8, lost=20).text() or "")


@pytest.mark.parametrize(("taken", "lost"), [(95, 5), (5, 10), (0, 0)])
def test_one_that_is_understood_or_hardly_spoke_is_not(taken: int, lost: int) -> None:
    """Nobody is sent to enrol for a handful of words."""
    assert heard(EnrolHint("kim"), taken=taken, lost=lost).text() is None


def test_only_where_a_profile_can_be_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The grammar engine alone knows no voices; and only where it is asked for."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))

    told = hearing("en", None, "kim", print, hint=True)
    alone = hearing("en", Engine.POCKETSPHINX, "kim", print, hint=True)

    assert told.hint is not None
    assert alone.hint is None
    assert hearing("en", None, "kim", print).hint is None


def test_it_is_told_after_the_walk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the walk's watch is told reaches it."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    found = hearing("en", None, "kim", print, hint=True)
    seen: list[str] = []
    watch = found.watched(lambda kind, _data: seen.append(kind), None, None)
    for _ in range(30):
        watch("heard", {"outcome": "reject"})
    told: list[str] = []

    found.learn(told.append)

    assert seen == ["heard"] * 30
    assert len(told) == 1
    assert "30 of 30 times" in told[0]
