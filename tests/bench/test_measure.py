"""Trials and the counting of what engines make of them."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.mixing import active_level_db
from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.corpus import Clip
from voicecheck.bench.engines import Guess, Sphinx
from voicecheck.bench.measure import Outcome, count, run, trials_of
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.room import reverberate, room_response
from voicecheck.bench.trials import CONDITIONS, Condition, make_trial


def clip(label: str, text: str = "") -> Clip:
    """A tone standing for a word."""
    time_s = np.arange(8000) / RATE_HZ
    tone = (0.5 * np.sin(2 * np.pi * 600 * time_s)).astype(np.float32)
    return Clip(text=text or label, label=label, voice="tube/w/a", frames=tone)


def outcome(said: str, heard: str | None, confidence: float) -> Outcome:
    """What one trial gave."""
    return Outcome(
        condition="quiet",
        said=said,
        text=said,
        heard=heard,
        confidence=confidence,
        speaker="tube/w",
    )


def test_counting_of_a_worked_example() -> None:
    """Right, wrong, refused and the dangerous one are told apart."""
    outcomes = [
        outcome("good", "good", 0.9),
        outcome("defect", "good", 0.9),
        outcome("leak", "leak", 0.4),
        outcome("yes", None, 1.0),
        outcome(OTHER, "good", 0.8),
        outcome(OTHER, "good", 0.2),
    ]
    (cell,) = count(outcomes, 0.5)
    assert (cell.trials, cell.right, cell.wrong, cell.rejected) == (4, 1, 1, 2)
    assert (cell.best_right, cell.fault_as_good) == (2, 1)
    assert (cell.others, cell.others_accepted) == (2, 1)


def test_goals_and_five_below_are_judged() -> None:
    """Quiet, nine noises with a goal, and each of those 5 dB harder."""
    names = [c.name for c in CONDITIONS]
    assert len(names) == len(set(names))
    wanted = {"quiet", "pink 15", "idle 0", "alarm 0", "wind 0", "crusher 5"}
    assert wanted | {"babble 15", "babble 5", "babble 0", "idle -5"} <= set(names)


def test_trial_has_noise_before_and_after_the_word() -> None:
    """A plain trial is 0.4 s, the word, 0.7 s, at the asked ratio."""
    condition = Condition(kind=NoiseKind.PINK, snr_db=20.0)
    sound = make_trial(clip("good"), condition, np.random.default_rng(1), plain=True)
    assert sound.size == 8000 + int(1.1 * RATE_HZ)
    around = rms_level_dbfs(sound[: int(0.4 * RATE_HZ)])
    word = active_level_db(sound[6400:14400])
    assert word - around == pytest.approx(20, abs=2.5)


class FirstWord:
    """Hears "good" in everything."""

    name = "first"

    def guess(self, frames: Frames) -> Guess:
        """Always the same."""
        assert frames.dtype == np.float32
        return Guess(phrase="good", confidence=0.7)


def test_other_speech_is_counted_as_other() -> None:
    """Foreign words, and phrases of ours outside the eleven, are OTHER."""
    clips = [clip("good"), clip(OTHER, "wood"), clip("coolant")]
    trials = trials_of(clips, CONDITIONS[:2], seed=1, repeats=3, others=3, talkers=())
    outcomes = run(FirstWord(), trials)
    assert sum(o.said == "good" for o in outcomes) == 6
    assert sum(o.said == OTHER for o in outcomes) == 4


def test_room_keeps_energy_and_direct_sound() -> None:
    """A response has unit energy, and its first sample is its largest."""
    response = room_response(np.random.default_rng(4))
    assert np.sum(response.astype(np.float64) ** 2) == pytest.approx(1, abs=1e-3)
    assert np.argmax(np.abs(response)) == 0
    click = np.zeros(100, np.float32)
    click[0] = 1
    np.testing.assert_allclose(
        reverberate(click, response)[:3300], response[:3300], atol=1e-6
    )


def test_grammar_engine_loads_the_eleven() -> None:
    """PocketSphinx takes the grammar and answers with a phrase of it or none."""
    engine = Sphinx(ELEVEN, denoise=False)
    rng = np.random.default_rng(2)
    sound = make_trial(clip("good"), CONDITIONS[0], rng)
    assert engine.guess(sound).phrase in {None, *ELEVEN}
