"""A walk that was left is never passed over in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.cli.walk_choice import goes_on
from voicecheck.clock import ManualClock
from voicecheck.errors import UsageError
from voicecheck.store.session import WalkSession
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import small_checklist


def never(_text: str) -> bool:
    """Nobody is to be asked."""
    raise AssertionError("asked")


@pytest.fixture
def left() -> MemoryJournal:
    """A journal in which L-12 has an unfinished walk."""
    journal = MemoryJournal()
    WalkSession.start(
        journal, ManualClock(), small_checklist(), unit="L-12", folder=Path("none")
    )
    return journal


@pytest.mark.parametrize("answer", [True, False])
def test_at_a_terminal_the_user_decides(left: MemoryJournal, answer: bool) -> None:
    """The question names the unit and when it was begun."""
    asked: list[str] = []

    def ask(text: str) -> bool:
        asked.append(text)
        return answer

    assert goes_on(left, "L-12", resume=False, new=False, ask=ask) is answer
    assert asked[0].startswith("L-12 has an unfinished walk, begun 20")


def test_without_a_terminal_both_ways_are_named(left: MemoryJournal) -> None:
    """Nothing is begun; the error says what to do."""
    with pytest.raises(UsageError, match=r"--resume .* or --new"):
        goes_on(left, "L-12", resume=False, new=False, ask=None)
    assert len(left.walks()) == 1


@pytest.mark.parametrize(("resume", "new"), [(True, False), (False, True)])
def test_what_was_asked_for_is_done_without_a_question(
    left: MemoryJournal, resume: bool, new: bool
) -> None:
    """--resume goes on, --new does not."""
    assert goes_on(left, "L-12", resume=resume, new=new, ask=never) is resume


def test_both_at_once_is_wrong_use(left: MemoryJournal) -> None:
    """They contradict each other."""
    with pytest.raises(UsageError, match="not both"):
        goes_on(left, "L-12", resume=True, new=True, ask=never)


def test_another_unit_begins_at_once(left: MemoryJournal) -> None:
    """Only the walks of the same machine count."""
    assert not goes_on(left, "L-13", resume=False, new=False, ask=None)
