"""What a mix-up of two meanings can do."""

from __future__ import annotations

import pytest

from voicecheck.dialogue.confirmation import meaning_class
from voicecheck.speech.grammar import files
from voicecheck.speech.ports import Hypothesis
from voicecheck.speech.vocabulary.meanings import (
    Consequence,
    Risk,
    consequence_of,
    risk_of,
)

CLASSES = {
    Consequence.PASSES: {"passes"},
    Consequence.AFFIRMS: {"affirms"},
    Consequence.FINDS: {"finds", "denies"},
    Consequence.STEERS: {"steers", "leaves"},
    Consequence.GRADES: {"details"},
    Consequence.COUNTS: {"details", "numbers"},
    Consequence.DETAILS: {"details"},
}


@pytest.mark.parametrize(
    ("one", "other", "risk"),
    [
        ("good", "defect", Risk.DANGEROUS),
        ("leak", "good", Risk.DANGEROUS),
        ("full", "low", Risk.DANGEROUS),
        ("yes", "no", Risk.DANGEROUS),
        ("stop", "good", Risk.DANGEROUS),
        ("minor", "critical", Risk.DANGEROUS),
        ("5", "9", Risk.NUMBER),
        ("I", "III", Risk.NUMBER),
        ("defect", "leak", Risk.COSTLY),
        ("skip", "stop", Risk.COSTLY),
        ("7", "repeat", Risk.COSTLY),
        ("cracked", "worn", Risk.COSTLY),
        ("good", "good", None),
    ],
)
def test_risks(one: str, other: str, risk: Risk | None) -> None:
    """A part must not pass, and nothing be affirmed or graded, by a mix-up."""
    assert risk_of(one, other) is risk
    assert risk_of(other, one) is risk


def test_classes_agree_with_the_confirmation_policy() -> None:
    """Each meaning of the shipped grammars has the class that its costs have."""
    meanings = {
        phrase.meaning
        for question in files.question_names("en")
        for phrase in files.load(question, "en").phrases
    }
    assert {"good", "defect", "yes", "stop", "minor"} <= meanings
    for meaning in meanings:
        heard = Hypothesis(phrase="x", meaning=meaning, confidence=1.0)
        assert meaning_class(heard) in CLASSES[consequence_of(meaning)]
