"""What an assessor may say, and how far apart it lies."""

from __future__ import annotations

import itertools

import pytest

from voicecheck.checklists import available, load
from voicecheck.errors import GrammarError
from voicecheck.observe.marks import MarkKind
from voicecheck.observe.spoken.words import GO_TO, mark_grammar, mark_set, plain_title
from voicecheck.speech.vocabulary.distance import separation
from voicecheck.speech.vocabulary.pronunciation import pronounce
from voicecheck.speech.vocabulary.survey import MINIMUM_SEPARATION

MACHINES = [each.name for each in available()]


@pytest.mark.parametrize("language", ["en", "ko"])
def test_every_mark_of_the_page_can_be_said(language: str) -> None:
    """The five marks, the call, undo, and the steps; the same in both languages."""
    meanings = {phrase.meaning for phrase in mark_grammar(language).phrases}

    marks = set(MarkKind) - {MarkKind.REAL_FAULT}
    assert meanings == {*marks, "undo", "next", "previous", "which", "stop"}


def test_no_two_words_of_the_marks_sound_alike() -> None:
    """Half of what is spoken differs, well above the least that a grammar may have."""
    phrases = [phrase.text for phrase in mark_grammar("en").phrases]

    apart = {pair: separation(*pair) for pair in itertools.combinations(phrases, 2)}
    assert min(apart.values()) > 0.5 > MINIMUM_SEPARATION


def test_the_short_words_that_were_tried_first_lie_too_close() -> None:
    """Why "next" is "next point", and "missed" is "missed completely"."""
    assert separation("missed", "next") < MINIMUM_SEPARATION
    assert separation("missed", "mister") < MINIMUM_SEPARATION
    assert separation("undo", "under") < MINIMUM_SEPARATION


@pytest.mark.parametrize("machine", MACHINES)
def test_every_zone_can_be_jumped_to(machine: str) -> None:
    """By its title, in words of the dictionary."""
    checklist = load(machine)
    active = mark_set(checklist)

    jumps = {p.meaning.removeprefix(GO_TO): p.text for p in active.phrases}
    for zone in checklist.zones:
        assert pronounce(jumps[zone.id])


def test_a_title_is_said_without_signs() -> None:
    """Small letters, no comma, no leading article."""
    assert plain_title("The joint, left side", "en") == "joint left side"


def test_a_language_without_words_says_so() -> None:
    """And names the page as another way."""
    with pytest.raises(GrammarError, match="mark on the page"):
        mark_grammar("xx")
