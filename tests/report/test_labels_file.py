"""The words of a page are complete in every language."""

from __future__ import annotations

from enum import StrEnum

import pytest

from voicecheck.report.labels_file import labels, languages
from voicecheck.round import answers as an
from voicecheck.round.checklist import Outcome, ReadingState
from voicecheck.round.record import content
from voicecheck.round.walk import FINAL, Walk
from voicecheck.testing.small_checklist import small_checklist

SETS: dict[str, type[StrEnum]] = {
    "fault": an.Fault,
    "severity": an.Severity,
    "leak_class": an.LeakClass,
    "level": an.Level,
    "reason": an.Reason,
    "outcome": Outcome,
    "outcome_text": Outcome,
    "outcome_short": Outcome,
    "state": ReadingState,
}


def test_english_and_korean_are_there() -> None:
    """The two languages of the walks have words for the page."""
    assert {"en", "ko"} <= set(languages())


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_words(language: str) -> None:
    """No word is missing, none is left over, none is empty."""
    english = labels("en")
    there = labels(language)

    assert {name: set(group) for name, group in there.items()} == {
        name: set(group) for name, group in english.items()
    }
    assert all(text for group in there.values() for text in group.values())


@pytest.mark.parametrize("name", SETS)
def test_every_member_of_a_closed_set_has_a_word(name: str) -> None:
    """A new fault, severity or reason cannot be without a word."""
    assert list(labels("en")[name]) == [member.value for member in SETS[name]]


def test_every_end_of_a_walk_has_a_word() -> None:
    """Signed, declined and stopped."""
    assert set(labels("en")["status"]) == {phase.value for phase in FINAL}


def test_the_page_says_what_the_record_says() -> None:
    """What comes before the decision reads the same on the page and in the record."""
    first = content(Walk(small_checklist()))["decision"]["first"]

    assert labels("en")["text"]["first"] == first


def test_a_language_without_words_gets_english() -> None:
    """A checklist in a third language still has a page."""
    assert labels("xx") is not None
    assert labels("xx") == labels("en")
