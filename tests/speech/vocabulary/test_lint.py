"""Refusing grammars in which dangerous mix-ups sound alike."""

from __future__ import annotations

import pytest

from voicecheck.checklists.loader import load
from voicecheck.errors import GrammarError
from voicecheck.speech.grammar import files
from voicecheck.speech.vocabulary import lint
from voicecheck.speech.vocabulary.lint import (
    KEPT,
    check_language,
    meanings_sound_apart,
    refuse,
    refused_pairs,
)


@pytest.mark.parametrize("question", files.question_names("en"))
def test_shipped_grammars_hold_no_dangerous_pair_but_the_known(question: str) -> None:
    """What is refused is exactly what is kept with a reason."""
    found = {frozenset({p.one, p.other}) for p in refused_pairs(question)}
    expected = {frozenset({"minor", "major"})} if question == "severity" else set()
    assert found == expected
    assert found <= set(KEPT)


def test_the_shipped_language_passes_as_a_whole() -> None:
    """The known pair is let through, with its reason written down."""
    check_language("en")
    assert all(len(reason) > 20 for reason in KEPT.values())


@pytest.mark.parametrize(
    "meanings",
    [
        {"good": "good", "wood": "defect"},
        {"good": "good", "hood": "leak"},
        {"weak": "good", "leak": "leak"},
        {"fell": "full", "full": "low"},
        {"yes": "yes", "yet": "no"},
        {"minor": "minor", "miner": "major"},
        {"pass": "good", "path": "stop"},
    ],
)
def test_sound_alikes_of_different_consequence_are_refused(
    meanings: dict[str, str],
) -> None:
    """A site's grammar with such words does not get through."""
    with pytest.raises(GrammarError, match="too much alike"):
        refuse("condition", meanings=meanings)


@pytest.mark.parametrize(
    "meanings",
    [
        {"nine": "9", "mine": "1"},
        {"class two": "II", "class three": "III"},
        {"cracked": "cracked", "tracked": "worn"},
        {"good": "good", "wood": "good"},
    ],
)
def test_numbers_details_and_synonyms_are_not_refused(
    meanings: dict[str, str],
) -> None:
    """They are listed, but nothing passes by their mix-up."""
    refuse("condition", meanings=meanings)


def test_the_minimum_can_be_raised() -> None:
    """What passes at the usual minimum may fail a stricter one."""
    refuse("yes_no")
    with pytest.raises(GrammarError, match=r"'yes' .* 'repeat'"):
        refuse("yes_no", minimum=0.6)


def test_without_exceptions_the_known_pair_is_refused() -> None:
    """Minor and major lie closer than the minimum, and the lint says so."""
    with pytest.raises(GrammarError, match=r"'minor' .* 'major'"):
        refuse("severity", kept=())


def test_the_lint_of_checklists_names_the_grammar(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing in the shipped ones; without its exception, severity by file."""
    checklist = load("wheel-loader")
    assert list(meanings_sound_apart(checklist)) == []
    assert list(meanings_sound_apart(load("wheel-loader", "ko"))) == []

    monkeypatch.setattr(lint.refuse, "__kwdefaults__", {**DEFAULTS, "kept": ()})
    (problem,) = meanings_sound_apart(checklist)

    assert problem.place == "grammars/en/severity.jsgf"
    assert "too much alike" in problem.text


DEFAULTS = dict(lint.refuse.__kwdefaults__ or {})
