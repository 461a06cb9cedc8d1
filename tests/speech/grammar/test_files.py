"""Grammar files: form, meanings, and every word known to the engine."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.errors import GrammarError
from voicecheck.round.answers import Fault, LeakClass, Level, Reason, Severity
from voicecheck.round.probing import QuestionName
from voicecheck.speech.grammar.active import active_set, meanings_by_phrase
from voicecheck.speech.grammar.files import languages, load, parse, question_names
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser

HEAD = "#JSGF V1.0 UTF-8 en;\ngrammar odd;\n"


def test_every_question_has_a_grammar_in_every_language() -> None:
    """Nothing can be asked that cannot be answered."""
    wanted = {name.value for name in QuestionName} | {"controls"}

    for language in languages():
        assert set(question_names(language)) == wanted


def test_every_meaning_of_the_core_can_be_said() -> None:
    """Each fault, severity, class, level and reason has a phrase, and no other."""
    enums = {
        "fault": Fault,
        "severity": Severity,
        "leak_class": LeakClass,
        "reason": Reason,
    }
    for language in languages():
        for question, kind in enums.items():
            said = {phrase.meaning for phrase in load(question, language).phrases}
            assert said == {member.value for member in kind}
        levels = {phrase.meaning for phrase in load("level", language).phrases}
        assert {level.value for level in Level} <= levels


def test_pocketsphinx_knows_every_english_word() -> None:
    """A word outside the dictionary would make a whole question deaf."""
    engine = PocketSphinxRecogniser()

    for question in question_names("en"):
        for phrase in meanings_by_phrase(question, "en"):
            for word in phrase.split():
                assert engine.knows(word), f"{question}: {word}"


def test_no_word_of_small_talk_means_good() -> None:
    """A man talking nearby must not pass a part."""
    good = {p.text for p in load("condition", "en").phrases if p.meaning == "good"}

    assert good.isdisjoint({"okay", "fine", "right", "all right", "yes", "yeah"})


def test_radio_words_are_understood() -> None:
    """Affirm, negative and say again mean what ICAO Annex 10 vol. II says.

    Source: Annex 10 volume II, 5.2.1.5.8: AFFIRM is yes, NEGATIVE is no, SAY
    AGAIN asks for a repetition, CORRECTION takes back. ROGER is none of them.
    """
    yes_no = meanings_by_phrase("yes_no", "en")

    assert yes_no["affirm"] == "yes"
    assert yes_no["negative"] == "no"
    assert yes_no["say again"] == "repeat"
    assert yes_no["correction"] == "back"
    assert "roger" not in yes_no


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("public <odd> = good;", "has no"),
        ("public <odd> = good {a} | good {b};", "two meanings"),
        ("public <odd> = <gone> {a};", "gone"),
        ("public <odd> = good {a};\npublic <even> = bad {b};", "exactly one"),
        ("<odd> = good {a};", "exactly one"),
        ("public <odd> = ((good)+) {a};", "cannot be listed"),
        ("public <odd> = (good {a};", "odd.jsgf"),
    ],
    ids=["no tag", "two", "undefined", "public twice", "private", "repeat", "syntax"],
)
def test_a_wrong_file_is_refused_with_a_reason(
    tmp_path: Path, text: str, expected: str
) -> None:
    """Each mistake of an author gets a sentence that names it."""
    path = tmp_path / "odd.jsgf"
    path.write_text(HEAD + text + "\n", encoding="utf-8")

    with pytest.raises(GrammarError, match=expected):
        parse(path, "en")


def test_unknown_questions_and_languages_are_named() -> None:
    """The error lists what there is."""
    with pytest.raises(GrammarError, match="condition"):
        load("weather", "en")
    with pytest.raises(GrammarError, match="en"):
        load("condition", "xx")


def test_a_question_can_be_narrowed_to_what_fits() -> None:
    """Only the asked meanings stay, and the controls."""
    active = active_set("fluid", "en", ("coolant", "fuel"))

    own = {phrase.meaning for phrase in active.phrases if not phrase.control}
    assert own == {"coolant", "fuel"}
    assert any(phrase.meaning == "repeat" for phrase in active.phrases)
