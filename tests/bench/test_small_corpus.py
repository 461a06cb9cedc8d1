"""A corpus from the voices of this computer."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import load_family
from voicecheck.bench.phrases import ELEVEN, PHRASES
from voicecheck.bench.small_corpus import build_small_corpus, cache_folder, small_texts
from voicecheck.bench.voices.bundled import Bundled
from voicecheck.bench.voices.ports import Family, Voice
from voicecheck.testing.scripted_hearing import whistle


class Whistler:
    """Three voices that whistle; the word "leak" cannot be said."""

    said: list[str] = []  # noqa: RUF012 - each build makes a new one

    def voices(self) -> tuple[Voice, ...]:
        """Three settings."""
        return tuple(
            Voice(family=Family.TUBE, name="w", setting=s, licence="none")
            for s in "abc"
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Whistle."""
        self.said.append(text)
        return None if text == "leak" else whistle(text).frames


class Missing(Whistler):
    """Not installed."""

    def voices(self) -> tuple[Voice, ...]:
        """None."""
        return ()


def test_built_once(tmp_path: Path) -> None:
    """As many voices as asked; the second time only the missing word is tried."""
    told: list[str] = []
    makers = {"w": (Whistler, 2), "none": (Missing, 9)}
    Whistler.said = []

    voices = build_small_corpus(tmp_path, told.append, synthesisers=makers)
    first, Whistler.said = Whistler.said, []
    build_small_corpus(tmp_path, told.append, synthesisers=makers)

    clips = load_family(tmp_path / "w.npz")
    assert voices == ["tube/w/a", "tube/w/b"]
    assert len(clips) == len(first) - 2
    assert Whistler.said == ["leak", "leak"]
    assert len(told) == 2
    assert [p.name for p in tmp_path.iterdir()] == ["w.npz"]


def test_texts() -> None:
    """The eleven, or all phrases; each voice has other words besides."""
    assert set(ELEVEN) <= set(small_texts(0))
    assert set(PHRASES) <= set(small_texts(0, all_phrases=True))
    assert small_texts(0) != small_texts(1)


def test_the_folder_of_the_program_holds_the_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where VOICECHECK_HOME says so."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))

    assert tmp_path in cache_folder().parents


def test_bundled_voices_can_enrol() -> None:
    """Each talker has four settings: three to enrol, one to judge."""
    voices = Bundled().voices()

    talkers = {v.name for v in voices}
    assert len(voices) == 4 * len(talkers)
    assert len({v.key for v in voices}) == len(voices)
