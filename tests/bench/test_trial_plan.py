"""Which trials a run holds."""

from __future__ import annotations

from collections import Counter

import numpy as np

from voicecheck.bench.foreign import Kind, kind_of, nonspeech_clips
from voicecheck.bench.phrases import ELEVEN
from voicecheck.bench.trial_plan import Planned, plan, split_examples
from voicecheck.bench.trials import CONDITIONS
from voicecheck.testing.scripted_hearing import tiny_corpus, whistle


def planned(trials: int = 11, foreign: int = 8, noises: int = 2) -> list[Planned]:
    """Trials of the tiny corpus with some coughs."""
    clips = [*tiny_corpus(), *nonspeech_clips(3, 1)]
    return list(
        plan(clips, CONDITIONS[:noises], trials=trials, foreign=foreign, seed=3)
    )


def test_each_phrase_is_said_as_often() -> None:
    """Eleven trials are one of each."""
    said = Counter(t.clip.label for t in planned() if t.kind is Kind.COMMAND)

    assert said == dict.fromkeys(ELEVEN, 2)


def test_other_sounds_are_shared_among_the_kinds_that_are_there() -> None:
    """Chatter, near words, coughs and phrases of other questions: two each."""
    kinds = Counter(t.kind for t in planned() if t.kind is not Kind.COMMAND)

    here = (Kind.CHATTER, Kind.NEAR, Kind.NONSPEECH, Kind.ELSEWHERE)
    assert kinds == dict.fromkeys(here, 4)


def test_a_trial_sounds_the_same_whatever_else_is_in_the_run() -> None:
    """Its noise depends on its own seed only."""
    few, many = planned(), planned(noises=4)

    assert [t.seed for t in few] == [t.seed for t in many[: len(few)]]
    np.testing.assert_array_equal(few[3].sound(()), many[3].sound(()))
    assert len({t.seed for t in many}) == len(many)


def test_examples_are_not_judged() -> None:
    """Three settings enrol, the fourth is judged."""
    examples, judged = split_examples(tiny_corpus(settings=4), ELEVEN)

    assert set(examples) == {"piper/w"}
    assert {len(clips) for clips in examples["piper/w"].values()} == {3}
    assert {clip.voice for clip in judged} == {"piper/w/3"}


def test_a_speaker_of_three_settings_enrols_nobody() -> None:
    """All it said is judged."""
    clips = tiny_corpus(settings=3)

    assert split_examples(clips, ELEVEN) == ({}, clips)


def test_kinds_of_sounds() -> None:
    """By what was said and whose voice it is."""
    assert kind_of(whistle("leak")) is Kind.COMMAND
    assert kind_of(whistle("weak")) is Kind.NEAR
    assert kind_of(whistle("coolant")) is Kind.ELSEWHERE
    assert kind_of(whistle("did you see the match")) is Kind.CHATTER
    assert kind_of(whistle("good", "prompt/usual/en")) is Kind.PROMPT
    assert {kind_of(c) for c in nonspeech_clips(3, 1)} == {Kind.NONSPEECH}
