"""Grammars held against checklists and the recogniser's dictionary."""

from __future__ import annotations

from dataclasses import replace

import pytest

from voicecheck.round.checklist import Fluid
from voicecheck.speech.grammar.lint import answers_can_be_said, phrases_are_known
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()


def test_every_english_phrase_is_in_the_dictionary() -> None:
    """PocketSphinx's CMU dictionary, or our pronunciations, know every word."""
    check = phrases_are_known("en", PocketSphinxRecogniser("en").knows)

    assert list(check(CHECKLIST)) == []


def test_an_unknown_word_is_named_with_its_file() -> None:
    """The problem says where to add it."""
    check = phrases_are_known("en", lambda word: word != "rusted")

    [problem] = check(CHECKLIST)

    assert problem.place == "grammars/en/fault.jsgf"
    assert "'rusted'" in problem.text
    assert "pronunciations.dict" in problem.text


def test_each_word_of_a_phrase_is_looked_up() -> None:
    """Not only the first one."""
    asked: list[str] = []

    def knows(word: str) -> bool:
        asked.append(word)
        return True

    list(phrases_are_known("en", knows)(CHECKLIST))

    assert {"say", "again", "both", "feet", "down"} <= set(asked)


def test_other_languages_are_left_to_their_engines() -> None:
    """A check for English passes a Korean checklist."""
    check = phrases_are_known("en", lambda _: False)

    assert list(check(replace(CHECKLIST, language="ko"))) == []


def test_every_answer_can_be_said_in_english() -> None:
    """All faults, severities, levels, leak classes, reasons, and these fluids."""
    assert list(answers_can_be_said(CHECKLIST)) == []


@pytest.mark.parametrize("fluid", ["slime", "no_such"])
def test_a_fluid_without_a_phrase_is_a_problem(fluid: str) -> None:
    """Nobody could say that it leaks."""
    more = Fluid(id=fluid, name=fluid, unit="L")
    checklist = replace(CHECKLIST, fluids=(*CHECKLIST.fluids, more))

    [problem] = answers_can_be_said(checklist)

    assert problem.place == "grammars/en/fluid.jsgf"
    assert f"{fluid} cannot be said" in problem.text


def test_a_language_without_grammars_is_one_problem() -> None:
    """It does not list every answer."""
    [problem] = answers_can_be_said(replace(CHECKLIST, language="xx"))

    assert problem.place == "grammars/xx"
