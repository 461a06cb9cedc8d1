"""The corpus: what it keeps, how it labels, how it carries on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import (
    JUDGING,
    NUMBERS_PART,
    TUNING,
    Clip,
    build_family,
    build_numbers,
    clips_of,
    load_family,
    other_texts,
    save_family,
)
from voicecheck.bench.phrases import (
    CONTRARY,
    ELEVEN,
    NEAR_WORDS,
    OTHER,
    PHRASES,
    QUESTIONS,
    SPELLINGS,
    chatter_words,
    label_of,
    missing_from,
)
from voicecheck.bench.voices.ports import Family, Voice, to_clip
from voicecheck.errors import SynthesisError


class Whistler:
    """A voice that whistles a tone as long as the text."""

    def __init__(self) -> None:
        """Count what was said."""
        self.said: list[str] = []

    def voices(self) -> tuple[Voice, ...]:
        """One voice."""
        voice = Voice(family=Family.TUBE, name="w", setting="a", licence="none")
        return (voice,)

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Whistle; 'good' cannot be said."""
        self.said.append(text)
        if text == "good":
            return None
        time_s = np.arange(3000 + 100 * len(text)) / RATE_HZ
        return (0.5 * np.sin(2 * np.pi * 700 * time_s)).astype(np.float32)


def test_sides_share_no_family() -> None:
    """No synthesiser stands on both sides."""
    assert not set(TUNING) & set(JUDGING)


def test_phrases_stand_once() -> None:
    """Each phrase answers one question, and the eleven are among them."""
    assert len(PHRASES) == len(set(PHRASES))
    assert set(ELEVEN) <= set(PHRASES)
    assert sum(len(group) for group in QUESTIONS.values()) == len(PHRASES)


def test_near_words_are_not_ours() -> None:
    """No near word or radio spelling is itself a phrase of ours."""
    assert not set(NEAR_WORDS) & set(PHRASES)
    assert not set(SPELLINGS) & set(PHRASES)
    assert label_of("fower") == "four"
    assert label_of("wood") == OTHER


def test_network_knows_the_grammar_files() -> None:
    """Every fixed phrase of the English grammars has a class of its own."""
    folder = Path(__file__).parents[2] / "grammars" / "en"
    wanted: set[str] = set()
    for path in sorted(folder.glob("*.jsgf")):
        if path.stem != "number":
            wanted |= alternatives(path.read_text(encoding="utf-8"))
    assert wanted
    assert missing_from(wanted) == ()


def alternatives(text: str) -> set[str]:
    """List the phrases of a grammar that is plain alternatives with tags."""
    lines = [line for line in text.splitlines() if not line.startswith("//")]
    body = " ".join(lines).split("=", 1)[1].rsplit(";", 1)[0]
    cleaned = body.replace("(", " ").replace(")", " ")
    return {part.split("{")[0].strip() for part in cleaned.split("|")}


def test_chatter_is_seeded_and_foreign() -> None:
    """Random words repeat by seed and are no part of any phrase of ours."""
    words = chatter_words(50, 3)
    assert words == chatter_words(50, 3)
    assert words != chatter_words(50, 4)
    ours = {w for phrase in PHRASES for w in phrase.split()}
    assert not set(words) & ours
    assert len(other_texts(40, 1)) == 40


def test_round_trip_keeps_text_voice_and_sound(tmp_path: Path) -> None:
    """Mu-law loses little: 30 dB below the sound at least."""
    clips = list(build_family(Whistler(), others=4, seed=1))
    path = tmp_path / "w.npz"
    assert save_family(path, clips) == len(clips)
    back = load_family(path)
    assert [(c.text, c.label, c.voice) for c in back] == [
        (c.text, c.label, c.voice) for c in clips
    ]
    error = back[0].frames - clips[0].frames
    loss_db = 10 * np.log10(np.mean(error**2) / np.mean(clips[0].frames ** 2))
    assert loss_db < -30


def test_what_cannot_be_said_is_left_out() -> None:
    """A phrase that the voice refuses has no clip, the others have."""
    texts = [c.text for c in build_family(Whistler(), others=0, seed=1)]
    assert "good" not in texts
    assert len(texts) == len(PHRASES) + len(SPELLINGS) + len(CONTRARY) - 1


def test_building_carries_on() -> None:
    """A voice that is there already says only what it has not said."""
    first = list(build_family(Whistler(), others=2, seed=1))
    known = [c for c in first if c.text != "defect"]
    again = Whistler()
    clips = list(build_family(again, others=2, seed=1, known=known))
    assert again.said == ["good", "defect"]
    assert len(clips) == len(first)


def test_parts_of_numbers_are_learned_from_only_when_asked_for(tmp_path: Path) -> None:
    """The word network must not meet them as other speech by the thousand."""
    save_family(tmp_path / "tube.npz", build_family(Whistler(), others=0, seed=1))
    numbers = list(build_numbers(Whistler(), texts=5, seed=1))
    assert numbers
    save_family(tmp_path / f"tube{NUMBERS_PART}.npz", numbers)

    without = clips_of(tmp_path, ["tube"])
    everything = clips_of(tmp_path, ["tube"], numbers=True)

    said = {clip.text for clip in numbers}
    assert not said & {clip.text for clip in without}
    assert len(everything) == len(without) + len(numbers)


def test_a_stranger_among_the_parts_is_named(tmp_path: Path) -> None:
    """Weights or anything else in the folder of a corpus are a clear error."""
    path = tmp_path / "weights.npz"
    np.savez(path, last=np.zeros(3))
    with pytest.raises(SynthesisError, match=r"weights.npz is no part of a corpus"):
        clips_of(tmp_path, ["tube"])
    path.write_bytes(b"no archive")
    with pytest.raises(SynthesisError, match="no part of a corpus"):
        load_family(path)


def test_clip_is_trimmed_resampled_and_levelled() -> None:
    """Silence goes, 16 kHz comes, the peak is 0.5."""
    time_s = np.arange(24_000) / 24_000
    tone = 0.1 * np.sin(2 * np.pi * 500 * time_s)
    padded = np.concatenate([np.zeros(12_000), tone, np.zeros(12_000)])
    clip = to_clip(padded, 24_000)
    assert abs(clip.size - RATE_HZ) < 0.06 * RATE_HZ
    assert np.max(np.abs(clip)) == np.float32(0.5)
    assert to_clip(np.zeros(100), RATE_HZ).size == 0


def test_speaker_is_the_voice_without_its_setting() -> None:
    """Settings of one speaker count as one speaker."""
    frames = np.zeros(10, np.float32)
    clip = Clip(text="a", label="", voice="tube/w/fast", frames=frames)
    assert clip.speaker == "tube/w"
