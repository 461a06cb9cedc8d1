"""What is read out of a machine out of service, in every language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import resources
from typing import Any

import pytest

from voicecheck.defects import wording
from voicecheck.defects.story import DefectState
from voicecheck.defects.wording import HoldWording
from voicecheck.round.answers import Fault, LeakClass, Level, Reason, Severity
from voicecheck.store.findings import finding_words

FLUIDS = {"fuel": "연료"}


def languages() -> list[str]:
    """Return every language that has a file."""
    folder = resources.files("voicecheck.defects") / "texts"
    return sorted(file.name.removesuffix(".toml") for file in folder.iterdir())


def findings() -> Iterator[dict[str, Any]]:
    """Return a finding of every kind and with every word of the closed sets."""
    for fault in Fault:
        for severity in Severity:
            yield {"answer": "defect", "fault": fault.value, "severity": severity.value}
    for leak_class in LeakClass:
        yield {"answer": "leak", "fluid": "fuel", "leak_class": leak_class.value}
    for reason in Reason:
        yield {"answer": "could_not_check", "reason": reason.value}
    for level in Level:
        yield {"answer": "level", "level": level.value}
    yield {"answer": "reading", "value": 350.0, "unit": "kPa"}


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_sentences_and_blanks(language: str) -> None:
    """No text is missing, and each is filled in with the same values."""
    english, own = wording.tables("en"), wording.tables(language)

    assert set(own) == set(english)
    for table in ("say", "finding"):
        assert set(own[table]) == set(english[table])
        for key, text in own[table].items():
            blanks = set(re.findall(r"{(\w+)}", text))
            assert blanks == set(re.findall(r"{(\w+)}", english[table][key])), key
    assert set(own["severity"]) == {one.value for one in Severity}
    assert set(own["state"]) == {one.value for one in DefectState}


def test_every_finding_can_be_said_in_korean() -> None:
    """Nothing stays English but the unit of a reading."""
    at = HoldWording("ko")

    for finding in findings():
        said = at.finding(finding_words(finding, FLUIDS))
        assert re.findall(r"[A-Za-z]+", said) in ([], ["kPa"]), said


def test_findings_stay_as_they_are_kept_in_english() -> None:
    """The words of the store are the English ones."""
    at = HoldWording("en")

    for finding in findings():
        kept = finding_words(finding, FLUIDS)
        assert at.finding(kept) == kept


@pytest.mark.parametrize("language", ["xx", "../../ko", ""])
def test_an_unknown_language_falls_back(language: str) -> None:
    """To English; never to a file that the text names."""
    assert HoldWording(language).say("signal") == "DANGER"


def test_words_that_no_rule_knows_come_back() -> None:
    """An older store may hold others."""
    assert HoldWording("ko").finding("something else") == "something else"
