"""Whole simulated walks, with a scripted ear instead of a recogniser."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.activity import Speech
from voicecheck.audio.frames import Frames
from voicecheck.audio.noise import NoiseKind
from voicecheck.bench import walks, walks_hearing, walks_play
from voicecheck.bench.corpus import Clip, save_family
from voicecheck.bench.hearing_corpus import Split
from voicecheck.bench.phrases import PHRASES
from voicecheck.bench.trials import Condition
from voicecheck.bench.walks import ROWS, Asked, read_rows, run_walks
from voicecheck.bench.walks_events import NotingRecogniser, WalkAbandoned, WalkEvents
from voicecheck.bench.walks_play import Plan
from voicecheck.bench.walks_row import WalkRow
from voicecheck.bench.walks_voices import load_material
from voicecheck.bench.walks_yard import SilentPrompts
from voicecheck.errors import UsageError
from voicecheck.speech.ports import ActiveSet, Hypothesis
from voicecheck.testing.short_walk import short_walk

IDLE = Condition(kind=NoiseKind.IDLE, snr_db=30.0)


class Loud:
    """Takes whatever is loud for speech: enough for tones in weak noise."""

    def probability(self, block: Frames) -> Speech:
        """Return 1 for loud blocks."""
        return Speech(float(np.sqrt(np.mean(np.square(block))) > 0.01))

    def reset(self) -> None:
        """Nothing is remembered."""


class Confused:
    """Takes every word for the first phrase that may be said."""

    name = "confused"
    language = "en"

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Be sure of the first phrase."""
        first = active.phrases[0]
        return (
            Hypothesis(
                phrase=first.text,
                meaning=first.meaning,
                confidence=0.999,
                control=first.control,
            ),
        )


def tone(text: str, voice: str) -> Clip:
    """Return half a second of sound that stands for a word."""
    frames = 0.5 * np.sin(np.arange(8000) * 0.1).astype(np.float32)
    return Clip(text=text, label=text, voice=voice, frames=frames)


@pytest.fixture
def corpus(tmp_path: Path) -> Path:
    """Return a corpus of one judging voice and one that only counts."""
    folder = tmp_path / "corpus"
    folder.mkdir()
    whole = [tone(text, "piper/anna/slow") for text in PHRASES]
    save_family(folder / "piper.npz", whole)
    save_family(folder / "human.npz", [tone("one", "human/bert/recorded")])
    return folder


def nobody(text: str) -> Frames | None:
    """Say nothing."""
    return None


def asked(corpus: Path, answers: int, **changes: object) -> Asked:
    """Return a run of short walks in weak noise."""
    path = corpus / "short-walk.toml"
    path.write_text(short_walk(), "utf-8")
    run = Asked(corpus=corpus, conditions=(IDLE,), answers=answers, checklist=str(path))
    return replace(run, **changes)  # type: ignore[arg-type]


@pytest.fixture
def scripted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Play walks with the scripted ear."""
    monkeypatch.setattr(walks, "SileroActivity", Loud)
    monkeypatch.setattr(walks_play, "_LOOP_S", 5)
    monkeypatch.setattr(walks_hearing, "PairedRecogniser", Confused)


@pytest.fixture
def unplayed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Say that walks were played: three answers each, none on a silent one."""

    class Played:
        def __init__(self, asked: Asked) -> None:
            self._answers = 0 if asked.checklist == "silent" else 3

        def play(self, plan: Plan) -> WalkRow:
            return WalkRow(
                run=plan.run,
                number=plan.number,
                kind=plan.condition.kind.value,
                snr_db=plan.condition.snr_db,
                side="judging",
                voice="piper/anna/slow",
                enrolled=False,
                objects=True,
                ended="signed",
                points=3,
                answers=self._answers,
                spoken=4,
                turns=(1,) * self._answers,
                least_turns=3,
                other_turns=0,
                wrong=(),
                given_up=(),
                counts={},
                misheard=(),
                by_program=0,
                cpu_s=1.0,
            )

    monkeypatch.setattr(walks, "_Bench", Played)


def test_voices_that_say_little_are_laid_over_one_that_says_all(corpus: Path) -> None:
    """Two walkers: the whole voice alone, and the other one over it."""
    material = load_material(corpus, None, nobody, enrolled=False)

    keys = [voice.key for voice in material.voices]
    assert keys == ["piper/anna/slow", "human/bert/recorded over piper/anna/slow"]
    assert {voice.side for voice in material.voices} == {Split.JUDGING}


def test_numbers_are_said_word_by_word(corpus: Path) -> None:
    """Three digits with two pauses between them."""
    (voice, _) = load_material(corpus, None, nobody, enrolled=False).voices

    assert len(voice.say("four one seven")) == 3 * 8000 + 2 * 800
    assert voice.missing == 0


def test_what_nobody_says_is_refused_with_advice(corpus: Path) -> None:
    """And the program's own voice is asked first."""
    (voice, _) = load_material(corpus, None, nobody, enrolled=False).voices

    with pytest.raises(UsageError, match="no voice says 'forty'"):
        voice.say("forty")


def test_a_side_without_voices_is_refused(corpus: Path) -> None:
    """The corpus has judging voices only."""
    with pytest.raises(UsageError, match="no tuning voice"):
        load_material(corpus, Split.TUNING, nobody, enrolled=False)


def test_silent_prompts_last_as_long_as_spoken_ones() -> None:
    """A prompt of 42 letters took 3.0 s to say."""
    sound = SilentPrompts().speak("x" * 42, "en")

    assert sound.seconds == pytest.approx(3.0, abs=0.2)
    assert not sound.frames.any()


@pytest.mark.usefixtures("scripted")
def test_an_ear_that_mixes_up_everything_leaves_wrong_entries(
    corpus: Path, tmp_path: Path
) -> None:
    """The benchmark can fail: operators who never object get a wrong record."""
    run = asked(corpus, 1, never_object=1.0, learns=False)

    (row, *_) = run_walks(run, tmp_path / "out", lambda _: None)

    assert row.wrong
    assert any(entry.hidden_finding for entry in row.wrong)
    assert row.misheard
    assert len(row.turns) == row.answers


@pytest.mark.usefixtures("unplayed")
def test_a_run_goes_on_where_it_was_broken_off(corpus: Path, tmp_path: Path) -> None:
    """Walks that are there are kept; half a line is thrown away."""
    out = tmp_path / "out"
    first = run_walks(asked(corpus, 1), out, lambda _: None)
    with (out / ROWS).open("a") as file:
        file.write('{"run": "half')

    both = run_walks(asked(corpus, 4), out, lambda _: None)

    assert both[0] == first[0]
    assert [row.number for row in both] == [0, 1]
    assert read_rows(out / ROWS) == both


@pytest.mark.usefixtures("unplayed")
def test_walks_of_another_run_are_not_mixed_in(corpus: Path, tmp_path: Path) -> None:
    """Another seed is another run."""
    run_walks(asked(corpus, 1), tmp_path, lambda _: None)

    with pytest.raises(UsageError, match="choose another --out"):
        run_walks(asked(corpus, 1, seed=6), tmp_path, lambda _: None)


@pytest.mark.usefixtures("unplayed")
def test_a_run_ends_where_nobody_is_heard(corpus: Path, tmp_path: Path) -> None:
    """Five walks without an answer are enough."""
    silent = asked(corpus, 1, checklist="silent")

    with pytest.raises(UsageError, match="milder"):
        run_walks(silent, tmp_path, lambda _: None)


def test_a_walk_is_given_up_when_it_asks_without_end() -> None:
    """Thirty times at one question."""
    events = WalkEvents(NotingRecogniser(Confused()), points=99)
    asks = {"question": "condition", "checkpoint": "seat"}

    for _ in range(30):
        events.watch("listening", asks)
    with pytest.raises(WalkAbandoned):
        events.watch("listening", asks)
