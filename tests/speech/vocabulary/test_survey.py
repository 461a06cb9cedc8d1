"""Listing the close pairs of a question."""

from __future__ import annotations

import pytest

from voicecheck.errors import GrammarError
from voicecheck.speech.vocabulary.meanings import Risk
from voicecheck.speech.vocabulary.survey import survey

RADIO = {
    "yes": "yes",
    "affirm": "yes",
    "affirmative": "yes",
    "no": "no",
    "negative": "no",
}
"""Words of a yes and a no, with the long form that the grammars leave out."""


def test_pairs_come_closest_first_and_below_the_bound() -> None:
    """Each pair means two things and lies nearer than was asked for."""
    found = survey("condition", near=0.6)

    apart = [pair.separation for pair in found.pairs]
    assert apart == sorted(apart)
    assert apart[-1] < 0.6
    assert all(pair.one_means != pair.other_means for pair in found.pairs)
    assert found.closest is not None
    assert found.closest.separation == apart[0]


def test_good_and_leak_are_seen_as_dangerous() -> None:
    """The pair that matters most is listed with its risk."""
    found = survey("condition", near=0.6)
    pair = next(p for p in found.pairs if {p.one, p.other} == {"good", "leak"})
    assert pair.risk is Risk.DANGEROUS
    assert not pair.is_refused()
    assert pair.is_refused(0.6)


def test_synonyms_that_lie_farther_are_suggested() -> None:
    """For affirmative and negative the listed yes and affirm would help."""
    pair = survey("yes_no", meanings=RADIO).pairs[0]
    assert {pair.one, pair.other} == {"affirmative", "negative"}
    ideas = " ".join(pair.replacements)
    assert "say 'affirm' and drop 'affirmative'" in ideas
    assert "say 'no' and drop 'negative'" in ideas


def test_digits_are_compared_with_everything_else() -> None:
    """A reading's question lists digits among themselves and with the controls."""
    found = survey("number", near=0.6)
    assert any(pair.risk is Risk.NUMBER for pair in found.pairs)
    assert any({p.one, p.other} == {"say again", "seven"} for p in found.pairs)


def test_a_question_of_one_meaning_has_no_pair() -> None:
    """While the walk is put aside there is only one thing to say."""
    found = survey("paused")
    assert found.pairs == ()
    assert found.closest is None


def test_words_of_a_site_can_be_tried_before_they_are_in_a_grammar() -> None:
    """A mapping stands in for the grammar."""
    found = survey("condition", meanings={"wood": "good", "good": "defect"})
    assert found.phrases == 2
    assert found.pairs[0].is_refused()


def test_an_unknown_question_is_said() -> None:
    """The error lists the questions that there are."""
    with pytest.raises(GrammarError, match="there are"):
        survey("mood")
