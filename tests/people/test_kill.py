"""A writer is killed at any moment: what was confirmed is there, once."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from voicecheck.people.events import PersonalEvent
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore

CHILD = Path(__file__).with_name("writing_child.py")


@pytest.fixture(scope="module")
def event() -> Callable[[int], PersonalEvent]:
    """The function by which the child makes its results."""
    spec = importlib.util.spec_from_file_location("writing_child", CHILD)
    assert spec is not None
    assert spec.loader is not None
    child = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(child)
    made: Callable[[int], PersonalEvent] = child.event
    return made


def killed_after(place: Path, lines: int) -> list[int]:
    """Run the child, kill it after so many lines; return all that it confirmed."""
    with subprocess.Popen(
        [sys.executable, str(CHILD), str(place)], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        said = [child.stdout.readline() for _ in range(lines)]
        child.kill()
        said += child.stdout.readlines()
    return [int(line) for line in said if line.endswith("\n")]


@pytest.mark.parametrize("lines", [1, 7, 25])
def test_what_was_confirmed_is_kept_once(
    tmp_path: Path, lines: int, event: Callable[[int], PersonalEvent]
) -> None:
    """Every confirmed result is there; sending all of them again, and some more,
    adds just those that had not been kept."""
    place = tmp_path / "people.sqlite3"
    with PeopleStore(place) as store:
        store.register("J.Doe", {Role.LEARNER}, by="J.Doe")
    confirmed = killed_after(place, lines)

    with PeopleStore(place) as store:
        kept = [one.body["at"] for one in store.events("J.Doe", "J.Doe")]
        assert kept[: len(confirmed)] == confirmed
        assert len(kept) <= len(confirmed) + 1
        new = store.append_all([event(at) for at in range(len(kept) + 20)])
        after = [one.body["at"] for one in store.events("J.Doe", "J.Doe")]

    assert new == 20
    assert after == list(range(len(kept) + 20))
