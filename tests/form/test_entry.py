"""What is typed at one question."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.form.entry import Chosen, Command, Entry, Unclear, folded, parse
from voicecheck.form.pages import Pages
from voicecheck.round.probing import Question, QuestionName, first_question
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()
PAGES = Pages(CHECKLIST, "en")


def at(name: QuestionName, meanings: tuple[str, ...] | None = None) -> Entry:
    """What may be typed at a question without a checkpoint."""
    return PAGES.entry(Question(name=name, meanings=meanings), None)


def at_point(checkpoint_id: str) -> Entry:
    """What may be typed when a point is first asked."""
    point = CHECKLIST.checkpoint(checkpoint_id)
    return PAGES.entry(first_question(point), point)


@pytest.mark.parametrize(
    ("entry", "typed", "meaning"),
    [
        (at_point("left_wheel"), "1", "good"),
        (at_point("left_wheel"), "  GOOD ", "good"),
        (at_point("left_wheel"), "g", "good"),
        (at_point("left_wheel"), "d", "defect"),
        (at_point("left_wheel"), "leaking", "leak"),
        (at_point("left_wheel"), "unable", "could_not_check"),
        (at_point("left_wheel"), "cannot   check", "could_not_check"),
        (at_point("left_wheel"), "could_not_check", "could_not_check"),
        (at_point("belts"), "not fitted", "not_fitted"),
        (at_point("engine_oil"), "between", "between"),
        (at_point("engine_oil"), "between the marks", "between"),
        (at_point("parked"), "affirm", "yes"),
        (at_point("parked"), "Affirmative", "yes"),
        (at_point("parked"), "Negative", "no"),
        (at_point("parked"), "y", "yes"),
        (at_point("parked"), "ｎ", "no"),
        (at(QuestionName.LEAK_CLASS), "2", "II"),
        (at(QuestionName.LEAK_CLASS), "iii", "III"),
        (at(QuestionName.LEAK_CLASS), "only wet", "I"),
        (at(QuestionName.LEAK_CLASS), "one", "I"),
        (at(QuestionName.FAULT), "rusted", "corroded"),
        (at(QuestionName.FAULT), "not working", "not_working"),
        (at(QuestionName.FLUID, ("engine_oil", "fuel")), "diesel", "fuel"),
        (at(QuestionName.FLUID, ("engine_oil", "fuel")), "2", "fuel"),
        (at(QuestionName.CLIMB), "feet down", "done"),
        (at_point("left_tyre"), "c", "could_not_check"),
    ],
)
def test_an_answer_by_number_word_synonym_or_letter(
    entry: Entry, typed: str, meaning: str
) -> None:
    """What is shown, every phrase of the grammar and unique letters are understood."""
    assert parse(typed, entry) == Chosen(meaning=meaning, text=typed.strip())


@pytest.mark.parametrize(
    ("entry", "typed"),
    [
        (at_point("left_wheel"), "n"),
        (at_point("left_wheel"), "no"),
        (at_point("left_wheel"), "y"),
        (at_point("left_wheel"), "ok"),
        (at_point("left_wheel"), "goo"),
        (at_point("left_wheel"), "good defect"),
        (at_point("left_wheel"), "5"),
        (at_point("left_wheel"), "0"),
        (at_point("belts"), "n"),
        (at_point("engine_oil"), "l"),
        (at_point("engine_oil"), "good"),
        (at(QuestionName.FAULT), "c"),
        (at(QuestionName.FLUID, ("fuel",)), "coolant"),
    ],
)
def test_anything_else_is_no_answer(entry: Entry, typed: str) -> None:
    """Small talk, shared letters, half words and answers of other points are not."""
    assert parse(typed, entry) == Unclear(key="not_understood", values={"text": typed})


@pytest.mark.parametrize("typed", ["", " ", "\n", "\t\r\n"])
def test_enter_alone_is_no_answer(typed: str) -> None:
    """Silence never counts as good."""
    entry = at_point("left_wheel")

    assert parse(typed, entry) == Unclear(key="nothing_typed", values={})


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("450", "450"),
        ("0", "0"),
        ("450 kPa", "450"),
        ("450kpa", "450"),
        ("450 kilopascals", "450"),
        ("４５０", "450"),
        ("four five zero", "450"),
        ("four five zero kilopascals", "450"),
        ("-3", "-3"),
    ],
)
def test_a_number_with_or_without_its_unit(typed: str, value: str) -> None:
    """Digits, digit words and the unit in letters or words are understood."""
    assert parse(typed, at_point("left_tyre")) == Chosen(meaning=value, text=typed)


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("65 psi", "wrong_unit"),
        ("4.5 bar", "wrong_unit"),
        ("4,500", "comma"),
        ("4,5", "comma"),
        ("450.5", "too_many_digits"),
        ("450.", "not_a_number"),
        ("4 5 0", "not_a_number"),
        ("1e3", "not_a_number"),
        ("nan", "not_a_number"),
        ("infinity", "not_a_number"),
        ("good", "not_a_number"),
        ("four fifty", "not_a_number"),
        ("1_000", "not_a_number"),
    ],
)
def test_a_doubtful_number_is_refused_with_the_reason(typed: str, key: str) -> None:
    """No unit is converted, no comma guessed, no digit dropped."""
    found = parse(typed, at_point("left_tyre"))

    assert isinstance(found, Unclear)
    assert found.key == key


def test_trailing_zeros_are_no_extra_digits() -> None:
    """4527.30 is as good as 4527.3 where one digit after the point is asked."""
    found = parse("4527.30 h", at_point("hour_meter"))

    assert isinstance(found, Chosen)
    assert Decimal(found.meaning) == Decimal("4527.3")


@pytest.mark.parametrize(
    ("typed", "command"),
    [
        ("back", Command(meaning="back")),
        ("go back", Command(meaning="back")),
        ("Correction", Command(meaning="back")),
        ("skip", Command(meaning="skip")),
        ("?", Command(meaning="help")),
        ("say again", Command(meaning="repeat")),
        ("left", Command(meaning="remaining")),
        ("how many left", Command(meaning="remaining")),
        ("quit", Command(meaning="pause")),
        ("pause", Command(meaning="pause")),
        ("stop", Command(meaning="stop")),
        ("note", Command(meaning="note")),
        ("note Hose rubs", Command(meaning="note", text="Hose rubs")),
        ("make a note  Hose   rubs", Command(meaning="note", text="Hose rubs")),
    ],
)
@pytest.mark.parametrize("point", ["parked", "left_tyre", "left_wheel", "engine_oil"])
def test_commands_are_understood_at_every_question(
    point: str, typed: str, command: Command
) -> None:
    """The words of the grammar, and short ones of the form's own."""
    assert parse(typed, at_point(point)) == command


def test_every_choice_shown_is_understood() -> None:
    """Each key and each text leads to its own meaning, at every question that is
    typed: nobody types a number digit by digit."""
    for name in set(QuestionName) - {QuestionName.DIGIT}:
        entry = at(name)
        for choice in entry.choices:
            for typed in (choice.key, choice.text):
                found = parse(typed, entry)
                assert isinstance(found, Chosen)
                assert found.meaning == choice.meaning, (name, typed)


@given(st.text(max_size=20))
def test_no_text_is_taken_for_good_unless_it_says_so(text: str) -> None:
    """Whatever is typed, only the number, letter or word of good means good."""
    found = parse(text, at_point("left_wheel"))

    if isinstance(found, Chosen) and found.meaning == "good":
        assert folded(text) in {"1", "g", "good"}


@given(st.decimals(0, 1000, places=0))
def test_every_number_comes_back_as_it_was_typed(value: Decimal) -> None:
    """Plain digits keep their value."""
    found = parse(f"{value:f}", at_point("left_tyre"))

    assert isinstance(found, Chosen)
    assert Decimal(found.meaning) == value
