"""A machine out of service cannot be started as fit: the tag first, then a release."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.cli.hold_release import may_begin, spoken, typed
from voicecheck.clock import ManualClock
from voicecheck.defects.events import RepairDone
from voicecheck.errors import UnitHeld
from voicecheck.form.filling import fill
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.workshop import Workshop
from voicecheck.testing.small_checklist import bad_answers, small_checklist


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a home folder in which L-12 was put out of service."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    with open_journal() as journal:
        session = WalkSession.start(
            journal, ManualClock(), small_checklist(), unit="L-12", operator="kim"
        )
        fill(session, bad_answers())
        session.finish()
    return tmp_path


def repaired() -> None:
    """Repair everything that holds L-12."""
    with Workshop.open() as workshop:
        for one in workshop.open_defects("L-12"):
            if one.holding:
                event = RepairDone(done="replaced")
                at = ManualClock().now()
                workshop.record(one.defect_id, event, at=at, by="M.Roe")


def begun(answers: list[str]) -> tuple[bool, str]:
    """Try to begin a walk; return whether it may, and what was read out."""
    said: list[str] = []
    left = iter(answers)
    went = may_begin("L-12", say=said.append, releases=typed(lambda _: next(left)))
    return went, "\n".join(said)


def starts() -> bool:
    """Tell whether a walk can be started, whoever asks for it."""
    try:
        with open_journal() as journal:
            WalkSession.start(journal, ManualClock(), small_checklist(), unit="L-12")
    except UnitHeld:
        return False
    return True


@pytest.mark.usefixtures("home")
def test_the_tag_and_the_defects_are_read_out_first() -> None:
    """Unrepaired, nobody is asked anything: it stays out of service."""
    went, said = begun([])

    assert not went
    assert said.startswith("DANGER. DO NOT OPERATE. L-12 is out of service.")
    assert "fuel leak" in said
    assert "cannot be released" in said
    assert not starts()


@pytest.mark.usefixtures("home")
@pytest.mark.parametrize("answers", [[""], ["C.Poe", ""], ["C.Poe", "yes"]])
def test_only_a_name_and_the_word_release_free_it(answers: list[str]) -> None:
    """Anything else leaves it as it is."""
    repaired()

    went, said = begun(answers)

    assert (went, starts()) == (False, False)
    assert "stays out of service" in said


@pytest.mark.usefixtures("home")
def test_a_competent_person_releases_it_and_the_walk_begins() -> None:
    """By name; after that nothing is asked any more."""
    repaired()

    went, _ = begun(["C.Poe", "release"])

    assert went
    assert starts()
    assert begun([]) == (True, "")


@pytest.mark.usefixtures("home")
def test_without_a_person_nothing_is_released() -> None:
    """A program that cannot ask cannot release."""
    repaired()

    nobody = typed(None)

    assert nobody is None
    assert not may_begin("L-12", say=lambda _: None, releases=nobody)
    assert not starts()


@pytest.mark.usefixtures("home")
@pytest.mark.parametrize(
    ("heard", "frees"),
    [
        ([True, True], True),
        ([True, False], False),
        ([False, True], False),
    ],
    ids=["twice yes", "not sure", "no"],
)
def test_a_spoken_release_takes_two_yeses(heard: list[bool], *, frees: bool) -> None:
    """The second one to a read-back that names the machine and the person."""
    repaired()
    asked: list[str] = []
    left = iter(heard)

    def said_yes(question: str) -> bool:
        asked.append(question)
        return next(left)

    went = may_begin(
        "L-12", say=lambda _: None, releases=spoken(said_yes, None, by="C.Poe")
    )

    assert (went, starts()) == (frees, frees)
    assert all("C.Poe" in question and "L-12" in question for question in asked)


@pytest.mark.usefixtures("home")
def test_a_spoken_release_needs_a_name() -> None:
    """Typed, or given beforehand; nobody named, nobody asked."""
    repaired()

    def said_yes(question: str) -> bool:
        raise AssertionError(question)

    assert spoken(said_yes, None) is None
    unnamed = spoken(said_yes, lambda _: " ")
    assert not may_begin("L-12", say=lambda _: None, releases=unnamed)
    assert not starts()


@pytest.mark.usefixtures("home")
@pytest.mark.parametrize("word", ["해제", "release"])
def test_the_tag_in_korean(word: str) -> None:
    """All of it but the checklist's own words, and the word to type."""
    repaired()
    said: list[str] = []
    answers = iter(["C.Poe", word])

    went = may_begin(
        "L-12",
        say=said.append,
        releases=typed(lambda _: next(answers)),
        language="ko",
    )

    assert went
    assert said[0] == "위험. 운전 금지. L-12 사용 금지 장비입니다."
    assert any("풀림, 중대" in line for line in said)
    english = ("DANGER", "service", "Found", "major", "loose", "repaired")
    assert not [word for word in english if word in " ".join(said)]
