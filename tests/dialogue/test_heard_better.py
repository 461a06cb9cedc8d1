"""The better way to say what is hard to hear is told, once."""

from __future__ import annotations

import pytest

from voicecheck.dialogue.heard_better import HEARD_BETTER, better_way
from voicecheck.round import answers as an
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.active import active_set
from voicecheck.testing.scripted_talk import talk_at


@pytest.mark.parametrize(
    ("question", "language", "phrase", "better"),
    [
        ("condition", "en", "good", "all in order"),
        ("condition", "en", "all in order", None),
        ("condition", "en", "leak", None),
        ("level", "en", "full", "up to the mark"),
        ("level", "en", "low", None),
        ("condition", "ko", "양호", None),
        ("yes_no", "en", "yes", None),
        ("fault", "en", "good", None),
        ("condition", "en", "never heard of", None),
    ],
)
def test_only_what_was_measured_is_told(
    question: str, language: str, phrase: str, better: str | None
) -> None:
    """Of the phrases that mean the same at this question; "affirm" is no better."""
    assert better_way(active_set(question, language), phrase) == better


@pytest.mark.parametrize(
    ("language", "word"),
    [(language, word) for language, ways in HEARD_BETTER.items() for word in ways],
)
def test_it_means_the_same_wherever_both_may_be_said(language: str, word: str) -> None:
    """A tip that led to another answer would be worse than none."""
    told = [
        (active.phrase(word), active.phrase(better))
        for active in (
            active_set(name, language) for name in files.question_names(language)
        )
        if (better := better_way(active, word)) is not None
    ]

    assert told
    for said, other in told:
        assert said is not None
        assert other is not None
        assert (said.meaning, said.control) == (other.meaning, other.control)


def test_a_good_that_was_read_back_and_meant_brings_the_tip() -> None:
    """After the yes, before the next point; the answer is kept all the same."""
    talk = talk_at("left_wheel")
    talk.say_doubtfully("good")

    talk.say("yes")

    assert talk.answers["left_wheel"] == an.Good()
    assert talk.texts[0] == "Say all in order. It is heard better."
    assert talk.notices("heard_better") == [
        {"question": "condition", "meaning": "good", "phrase": "all in order"}
    ]


def test_it_is_told_once_on_a_walk() -> None:
    """The second doubtful good is only read back."""
    talk = talk_at("left_wheel")
    for _ in range(2):
        talk.say_doubtfully("good")
        talk.say("yes")

    assert talk.notices("heard_better") == []
    assert not any("heard better" in text for text in talk.texts)


@pytest.mark.parametrize("answer", ["no", "yes"])
def test_not_after_a_no_and_not_for_what_was_heard_surely(answer: str) -> None:
    """A refused word was another one; a finding is read back though it was clear."""
    talk = talk_at("left_wheel")
    if answer == "no":
        talk.say_doubtfully("good")
    else:
        talk.say_all("defect", "loose", "major")

    talk.say(answer)

    assert talk.notices("heard_better") == []


def test_the_better_way_is_an_answer() -> None:
    """Heard surely it is kept like "good", without a question."""
    talk = talk_at("left_wheel")

    talk.say("all in order")

    assert talk.answers["left_wheel"] == an.Good()
    assert talk.how().confirmed_by == "implicit"
