"""The words of observations are complete in every language."""

from __future__ import annotations

from enum import StrEnum
from string import Formatter

import pytest

from voicecheck.observe import course, criteria, decision, marks, observation, seal
from voicecheck.observe.texts_file import languages, texts
from voicecheck.observe.walked import Basis, Look
from voicecheck.statistics.agreement import AgreementWord
from voicecheck.statistics.ordering import EditKind

SETS: dict[str, type[StrEnum]] = {
    "standing": decision.Standing,
    "standing_text": decision.Standing,
    "short": decision.Standing,
    "basis": Basis,
    "order_basis": Basis,
    "measure": criteria.Measure,
    "act": marks.UnsafeAct,
    "look": Look,
    "seal": seal.SealState,
    "step": EditKind,
    "doubt": observation.DoubtKind,
    "agreement": AgreementWord,
    "course": course.Hint,
}


def test_english_and_korean_are_there() -> None:
    """The two languages of the walks."""
    assert {"en", "ko"} <= set(languages())


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_words_and_places(language: str) -> None:
    """No word is missing, and each has the same places to fill in."""
    english, there = texts("en"), texts(language)

    assert {name: set(group) for name, group in there.items()} == {
        name: set(group) for name, group in english.items()
    }
    for name, group in english.items():
        for key, text in group.items():
            assert _places(there[name][key]) == _places(text), (name, key)
            assert there[name][key].strip()


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("group", SETS)
def test_every_member_of_a_set_has_a_word(language: str, group: str) -> None:
    """A new kind of mark or doubt needs its word at once."""
    assert set(SETS[group]) <= set(texts(language)[group])


@pytest.mark.parametrize("language", languages())
def test_every_usual_critical_point_has_a_word(language: str) -> None:
    """Those of a site bring their own text."""
    usual = {one.id for one in criteria.default_criteria().critical}

    assert usual == set(texts(language)["critical"])


def _places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}
