"""Whose voice a command uses: a profile, or one that it gets used to."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.cli.voices import hearing, store
from voicecheck.speech.engines import Engine


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a computer where nobody has enrolled."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    return tmp_path


def test_a_walk_gets_used_to_a_strange_voice() -> None:
    """Where it may learn, and with the recogniser that has a place for a voice."""
    walking = hearing("en", None, "kim", print, learn=True)
    assert walking.acquaintance is not None
    assert walking.recogniser is walking.acquaintance.recogniser
    assert walking.stored is None

    assert hearing("en", None, "kim", print).acquaintance is None
    alone = hearing("en", Engine.POCKETSPHINX, "kim", print, learn=True)
    assert alone.acquaintance is None


def test_it_follows_the_walk_and_keeps_nothing(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told all that happens; after the walk there is no voice on the disk."""
    found = hearing("en", None, "kim", print, learn=True)
    assert found.acquaintance is not None
    told: list[str] = []
    monkeypatch.setattr(
        found.acquaintance.voice, "learn", lambda examples: told.append("learn")
    )
    watch = found.watched(lambda kind, _data: told.append(kind), None, None)
    data = {"checkpoint": "a", "value": {"answer": "good"}, "confirmed": "explicit"}
    watch("answer", data)
    found.learn(told.append)

    assert told == ["answer", "learn"]
    assert not store().has("kim")
    assert list(home.rglob("*")) == []
