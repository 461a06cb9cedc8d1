"""Which words of a walk may join a profile: only those that are surely right."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import Frames
from voicecheck.speech.enrolment.learning import LearningRecogniser, WalkLearner
from voicecheck.speech.ports import ActiveSet, Hypothesis, Phrase

SOUND: Frames = np.full(16_000, 0.1, np.float32)
ACTIVE = ActiveSet(
    question="condition",
    language="en",
    phrases=tuple(
        Phrase(text=text, meaning=text)
        for text in ("good", "defect", "unable", "yes", "no")
    ),
    numbers=True,
)

PHRASES = frozenset({"good", "defect"})
"""Of the profile."""


class Hears:
    """A recogniser that hears what it is told to."""

    name = "told"
    language = "en"

    def __init__(self, sure: float) -> None:
        self.phrase = ""
        self._sure = sure

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Give the phrase, as sure as it is."""
        meaning = {"yes": "yes", "no": "no"}.get(self.phrase, self.phrase)
        return (Hypothesis(phrase=self.phrase, meaning=meaning, confidence=self._sure),)


class Walk:
    """Plays happenings to a learner."""

    def __init__(
        self,
        *,
        agreed: bool = True,
        trusted: bool = True,
        phrases: frozenset[str] | None = PHRASES,
        yes_and_no: bool = False,
        sure: float = 0.99,
    ) -> None:
        self._hears = Hears(sure)
        self._recogniser = LearningRecogniser(self._hears, lambda _: agreed)
        self.learner = WalkLearner(
            self._recogniser,
            phrases,
            lambda: trusted,
            lambda: "",
            yes_and_no=yes_and_no,
        )

    def says(self, phrase: str, question: str = "condition") -> None:
        """The operator says something, and it is accepted."""
        self._hears.phrase = phrase
        self.learner.watch("listening", {"question": question})
        self._recogniser.recognise(SOUND, ACTIVE)
        self.learner.watch("heard", {"phrase": phrase, "outcome": "accept"})

    def answer(self, name: str, confirmed: str) -> None:
        """The answer is kept."""
        data = {"checkpoint": "a", "value": {"answer": name}, "confirmed": confirmed}
        self.learner.watch("answer", data)

    @property
    def learned(self) -> list[str]:
        """Phrases that would join."""
        return [e.phrase for e in self.learner.examples()]


def test_an_answer_confirmed_by_yes_joins() -> None:
    """The word itself, not the yes; agreement of the engines is not asked."""
    walk = Walk(agreed=False)
    walk.says("defect")
    walk.says("yes", "yes_no")
    walk.answer("defect", "explicit")

    assert walk.learned == ["defect"]


def test_a_refused_word_never_joins() -> None:
    """A no to the read-back forgets it."""
    walk = Walk()
    walk.says("good")
    walk.says("no", "yes_no")
    walk.says("defect")
    walk.says("yes", "yes_no")
    walk.answer("defect", "explicit")

    assert walk.learned == ["defect"]


@pytest.mark.parametrize(
    ("agreed", "trusted", "learned"),
    [(True, True, ["good"]), (False, True, []), (True, False, [])],
)
def test_an_unconfirmed_answer_needs_agreement_and_the_voice(
    agreed: bool, trusted: bool, learned: list[str]
) -> None:
    """Accepted only: both decodes must agree, and the voice must match."""
    walk = Walk(agreed=agreed, trusted=trusted)
    walk.says("good")
    walk.answer("good", "implicit")

    assert walk.learned == learned


def test_what_is_taken_back_leaves() -> None:
    """An answer that was withdrawn teaches nothing."""
    walk = Walk()
    walk.says("good")
    walk.answer("good", "implicit")
    walk.learner.watch("withdrawn", {"checkpoint": "a"})

    assert walk.learned == []


def test_a_word_that_is_not_in_the_answer_teaches_nothing() -> None:
    """Nor does a word that nobody enrolled."""
    walk = Walk()
    walk.says("good")
    walk.answer("defect", "explicit")
    walk.says("unable")
    walk.answer("unable", "explicit")

    assert walk.learned == []


def test_with_no_profile_every_phrase_counts_but_no_number() -> None:
    """A number is many words."""
    walk = Walk(phrases=None)
    walk.says("unable")
    walk.answer("unable", "explicit")
    assert walk.learned == ["unable"]

    walk.says("two nine")
    walk.answer("two nine", "explicit")
    assert walk.learned == ["unable"]


@pytest.mark.parametrize(
    ("word", "sure", "agreed", "wanted", "learned"),
    [
        ("yes", 0.8, False, True, ["yes"]),
        ("yes", 0.79, True, True, []),
        ("no", 0.8, True, True, ["no"]),
        ("no", 0.99, False, True, []),
        ("yes", 0.99, True, False, []),
    ],
)
def test_a_sure_yes_or_no_counts_where_it_is_asked_for(
    word: str, sure: float, agreed: bool, wanted: bool, learned: list[str]
) -> None:
    """Nobody confirms them: a no needs both decodes as well."""
    walk = Walk(phrases=None, yes_and_no=wanted, sure=sure, agreed=agreed)
    walk.says(word, "yes_no")

    assert walk.learned == learned
