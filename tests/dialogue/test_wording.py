"""The words of every language: all there, and the same keys everywhere."""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterator
from decimal import Decimal
from importlib import resources
from pathlib import Path

import pytest

import voicecheck
from voicecheck import checklists
from voicecheck.dialogue.wording import Wording, tables
from voicecheck.errors import GrammarError
from voicecheck.round import answers as an
from voicecheck.round.checklist import Checklist, Outcome
from voicecheck.round.decision import answer_name
from voicecheck.testing.small_checklist import small_checklist

LANGUAGES = sorted(
    path.name.removesuffix(".toml")
    for path in (resources.files("voicecheck.dialogue") / "wording").iterdir()
)
PACKAGE = Path(voicecheck.__file__).parent
USERS = ("dialogue", "form", "cli")
"""Packages that say things with the wording of the dialogue."""


def said_keys() -> Iterator[tuple[str, str]]:
    """Every key written in a call of `say` or `ask`, with its file."""
    for user in USERS:
        for path in sorted((PACKAGE / user).glob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.Call) or not node.args:
                    continue
                name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
                of_dialogue = user == "dialogue" or "wording.say" in ast.unparse(node)
                if name in ("say", "ask") and of_dialogue:
                    for part in ast.walk(node.args[0]):
                        if isinstance(part, ast.Constant):
                            yield str(part.value), f"{user}/{path.name}"


def fields(text: str) -> set[str]:
    """The names in braces of a sentence."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


@pytest.fixture(scope="module", params=LANGUAGES)
def language(request: pytest.FixtureRequest) -> str:
    """Each language that the dialogue speaks."""
    return str(request.param)


@pytest.fixture(scope="module")
def wheel_loader(language: str) -> Checklist:
    """The shipped checklist in this language."""
    return checklists.load("wheel-loader", language)


def test_english_is_there() -> None:
    """It is the language that the others are compared with."""
    assert "en" in LANGUAGES


def test_every_key_that_is_said_has_words(language: str) -> None:
    """No call of `say` or `ask` can end in a KeyError."""
    keys = dict(said_keys())
    assert len(keys) > 20

    missing = {key: place for key, place in keys.items() if key not in _say(language)}

    assert missing == {}


def test_no_words_are_left_over() -> None:
    """Each key is named somewhere in the code that speaks."""
    named = {
        node.value
        for user in USERS
        for path in (PACKAGE / user).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant)
    }

    unused = [key for key in _say("en") if key not in named]

    assert unused == []


def test_all_languages_have_the_same_keys_and_blanks(language: str) -> None:
    """Each sentence takes the same values as in English."""
    ours, english = tables(language), tables("en")

    assert ours.keys() == english.keys()
    for table, words in english.items():
        assert ours[table].keys() == words.keys(), table
        for key, text in words.items():
            assert fields(ours[table][key]) == fields(text), f"{table}.{key}"


@pytest.mark.parametrize(
    ("table", "members"),
    [
        ("fault", an.Fault),
        ("severity", an.Severity),
        ("leak_class", an.LeakClass),
        ("level", an.Level),
        ("reason", an.Reason),
        ("outcome", Outcome),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_every_word_of_the_core_can_be_said(
    table: str, members: type[an.Fault], language: str
) -> None:
    """Each member of each closed set, and nothing besides."""
    assert set(tables(language)[table]) == {member.value for member in members}


def test_every_unit_of_the_shipped_checklist_can_be_said(
    wheel_loader: Checklist, language: str
) -> None:
    """No unit is read out as its symbol."""
    units = {p.reading.unit for p in wheel_loader.checkpoints if p.reading}
    assert units

    assert units <= set(tables(language)["unit"])


def test_every_answer_has_a_sentence(wheel_loader: Checklist, language: str) -> None:
    """For each answer that the core knows: filled in whole, in words."""
    wording = Wording(wheel_loader, language)
    point = next(p for p in wheel_loader.checkpoints if p.reading)
    answers: tuple[an.Answer, ...] = (
        an.Yes(),
        an.No(),
        an.Good(),
        an.NotFitted(),
        an.Defect(fault=an.Fault.CUT, severity=an.Severity.MAJOR),
        an.Leak(fluid="fuel", leak_class=an.LeakClass.THREE),
        an.CouldNotCheck(reason=an.Reason.NO_TOOL),
        an.LevelSeen(level=an.Level.BETWEEN),
        an.ReadingTaken(value=Decimal("450.5")),
    )
    assert set(tables(language)["answer"]) == {answer_name(a) for a in answers}

    for answer in answers:
        said = wording.answer(point, answer)
        assert said
        assert not re.search(r"[{}_0-9]", said), said


ENGLISH = Wording(small_checklist(), "en")
TYRE = small_checklist().checkpoint("left_tyre")


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (
            an.Defect(fault=an.Fault.NOT_WORKING, severity=an.Severity.CRITICAL),
            "defect, not working, critical",
        ),
        (
            an.Leak(fluid="engine_oil", leak_class=an.LeakClass.TWO),
            "leak, engine oil, class two",
        ),
        (an.LevelSeen(level=an.Level.BETWEEN), "between the marks"),
        (an.ReadingTaken(value=Decimal(1012)), "one zero one two kilopascals"),
        (an.CouldNotCheck(reason=an.Reason.TOO_HOT), "could not check, too hot"),
    ],
)
def test_answers_read_back(answer: an.Answer, said: str) -> None:
    """Numbers digit by digit, as on the radio (ICAO Annex 10 volume II,
    5.2.1.4.1.1; 1012 read as "one zero one two" is its example)."""
    assert ENGLISH.answer(TYRE, answer) == said


def test_a_unit_without_a_word_is_said_as_it_stands() -> None:
    """A checklist of a site may bring units of its own; a point without, none."""
    wheel = small_checklist().checkpoint("left_wheel")

    assert ENGLISH.word("unit", "furlong") == "furlong"
    assert ENGLISH.unit(wheel) == ""


@pytest.mark.parametrize(
    ("question", "meaning", "said"),
    [
        ("condition", "could_not_check", "cannot check"),
        ("fault", "not_working", "not working"),
        ("leak_class", "II", "class two"),
        ("level", "between", "between the marks"),
        ("fluid", "engine_oil", "engine oil"),
        ("number", "450", "450"),
    ],
)
def test_parts_said_back(question: str, meaning: str, said: str) -> None:
    """What was understood opens the next question."""
    assert ENGLISH.part(question, meaning) == said


def test_a_prompt_opens_a_sentence() -> None:
    """Its question mark becomes a colon."""
    assert ENGLISH.point(TYRE) == "left tyre:"


def test_a_language_without_words_is_refused() -> None:
    """The error says which file is missing."""
    with pytest.raises(GrammarError, match=r"wording/xx\.toml"):
        Wording(small_checklist(), "xx")


def _say(language: str) -> dict[str, str]:
    return tables(language)["say"]
