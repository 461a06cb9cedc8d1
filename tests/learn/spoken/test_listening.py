"""What may be said at each question of practice."""

from __future__ import annotations

import pytest

from voicecheck.checklists.loader import load
from voicecheck.learn.sessions.guided import Guided
from voicecheck.learn.sessions.next_point import NextPoint
from voicecheck.learn.sessions.ports import Choice, Listening, Question
from voicecheck.learn.spoken.listening import (
    carry_on,
    listen_to,
    place_ids,
    yes_or_no,
)
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.speech.grammar import files
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.ports import ActiveSet
from voicecheck.speech.vocabulary.distance import separation

LOADER = load("wheel-loader")
NAMES = PlaceNames(LOADER)
GRAMMARS = ("guide", "recall", "steer")
LEAST_APART = 0.35
"""The distance that lint asks of the words of a walk."""


def asked(listening: Listening, *values: str) -> Question:
    """A question with these choices."""
    choices = tuple(Choice(value=value, words=value) for value in values)
    return Question(text="?", listening=listening, choices=choices)


def meanings(active: ActiveSet, *, control: bool) -> set[str]:
    """What can be meant."""
    return {p.meaning for p in active.phrases if p.control is control}


def test_at_a_question_for_places_exactly_its_choices_can_be_named() -> None:
    """Nothing of another zone is listened for, and every choice has a phrase."""
    session = NextPoint(LOADER, zones=["bucket", "rear"])
    session.answer("bucket")
    question = session.ask()

    active = listen_to(question, "en", NAMES)

    assert meanings(active, control=False) == set(place_ids(question))
    assert meanings(active, control=True) == {
        "done", "hint", "again", "back", "pause", "stop",
    }  # fmt: skip
    assert active.question == "place"


def test_a_guided_walk_listens_for_its_few_words() -> None:
    """Each choice of the session can be said, and pause and stop."""
    question = Guided(LOADER).ask()

    active = listen_to(question, "en", NAMES)

    values = {choice.value for choice in question.choices}
    assert meanings(active, control=True) == values | {"pause", "stop"}
    assert meanings(active, control=False) == set()


@pytest.mark.parametrize(
    ("listening", "values"),
    [
        (Listening.CONDITION, ("good", "defect", "leak")),
        (Listening.SEVERITY, ("minor", "major", "critical")),
        (Listening.LEAK_CLASS, ("I", "II", "III")),
        (Listening.LEVEL, ("full", "between", "low", "empty")),
        (Listening.YES_NO, ("yes", "no")),
    ],
    ids=lambda value: str(value) if isinstance(value, Listening) else "",
)
@pytest.mark.parametrize("language", ["en", "ko"])
def test_a_call_is_made_with_the_words_of_a_walk(
    language: str, listening: Listening, values: tuple[str, ...]
) -> None:
    """Only the choices, with the phrases of the walk's own grammar."""
    active = listen_to(asked(listening, *values), language, NAMES)

    assert meanings(active, control=False) == set(values)
    walk = {phrase.text for phrase in files.load(listening.value, language).phrases}
    assert {p.text for p in active.phrases if not p.control} <= walk
    assert len({p.text for p in active.phrases}) == len(active.phrases)


@pytest.mark.parametrize("language", ["en", "ko"])
def test_every_language_says_the_same(language: str) -> None:
    """The grammars of practice have the same meanings everywhere."""
    for name in GRAMMARS:
        there = {p.meaning for p in files.load(f"learn/{name}", language).phrases}
        assert there == {p.meaning for p in files.load(f"learn/{name}", "en").phrases}


@pytest.mark.parametrize("name", GRAMMARS)
def test_words_that_steer_are_known_and_sound_apart(name: str) -> None:
    """Words of different meaning lie as far apart as a walk's dangerous ones must."""
    phrases = files.load(f"learn/{name}", "en").phrases
    engine = PocketSphinxRecogniser()

    for one in phrases:
        assert all(engine.knows(word) for word in one.text.split())
        for other in phrases:
            if one.meaning != other.meaning:
                assert separation(one.text, other.text) >= LEAST_APART


def test_put_aside_only_going_on_and_stopping_count() -> None:
    """A read-back takes yes and no, a pause takes carry on and stop."""
    assert meanings(yes_or_no("en"), control=False) == {"yes", "no"}
    paused = carry_on("en")
    assert {p.meaning for p in paused.phrases} == {"carry_on", "stop"}
