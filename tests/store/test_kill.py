"""Killed at any moment, a walk loses nothing that was confirmed."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest

from voicecheck.record.canonical import sha256_of
from voicecheck.round.walk import Walk
from voicecheck.store.journal import open_journal
from voicecheck.store.ports import Entry
from voicecheck.store.session import walk_events
from voicecheck.testing.small_checklist import small_checklist

CHILD = Path(__file__).with_name("walking_child.py")


def killed_after(folder: Path, mode: str, lines: int, spin: int) -> list[str]:
    """Run the child, kill it some moment after so many lines, return its lines.

    Everything that the child had written by then is read, so the result is what
    it had confirmed.
    """
    with subprocess.Popen(
        [sys.executable, str(CHILD), str(folder), mode],
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdout is not None
        said = [child.stdout.readline() for _ in range(lines)]
        sum(range(spin))  # let some part of the next write happen
        child.kill()
        said += child.stdout.readlines()
    return [line.strip() for line in said if line.endswith("\n")]


def kept(folder: Path) -> tuple[Entry, ...]:
    """Return the entries of the only walk in the journal."""
    with open_journal(folder / "journal.sqlite3") as journal:
        (walk,) = journal.walks()
        assert journal.verify(walk.walk_id).ok
        return journal.entries(walk.walk_id)


def kill_many_times(folder: Path, times: int, seed: int) -> None:
    """Kill and resume, and compare what was confirmed with what is kept."""
    chance = random.Random(seed)
    confirmed: dict[int, str] = {}
    answered: list[str] = []
    for _ in range(times):
        lines = killed_after(
            folder, "loop", chance.randrange(1, 40), chance.randrange(200_000)
        )
        assert lines[0].split() == ["ready", *answered]
        for line in lines[1:]:
            seq, sha256 = line.split()
            assert int(seq) not in confirmed
            confirmed[int(seq)] = sha256

        entries = kept(folder)
        assert (
            confirmed.items() <= {entry.seq: entry.sha256 for entry in entries}.items()
        )
        # At most one event was kept and not yet reported, or a sitting begun.
        assert entries[-1].seq <= max(confirmed, default=2) + 2
        walk = Walk.replay(small_checklist(), walk_events(entries))
        answered = list(walk.answers)


def test_killed_at_any_moment_nothing_confirmed_is_lost(tmp_path: Path) -> None:
    """Kill -9 at random moments: every reported event is there once, none twice."""
    kill_many_times(tmp_path, times=3, seed=1)


@pytest.mark.slow
def test_killed_many_times_nothing_confirmed_is_lost(tmp_path: Path) -> None:
    """The same, fifty times over."""
    kill_many_times(tmp_path, times=50, seed=2)


@pytest.mark.parametrize("spin", [0, 200_000])
def test_killed_while_the_record_is_written(tmp_path: Path, spin: int) -> None:
    """The record is whole or not there, and resume brings it to its end."""
    # "ready", thirteen events, "over": then the record is being written.
    lines = killed_after(tmp_path, "finish", lines=15, spin=spin)
    assert "over" in lines
    for path in (tmp_path / "records").glob("*.json"):
        assert json.loads(path.read_text("utf-8"))["format"] == "voicecheck-record/1"

    done = subprocess.run(
        [sys.executable, str(CHILD), str(tmp_path), "finish"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()

    document = json.loads(Path(done[-1]).read_text("utf-8"))
    assert document["content"]["status"] == "signed"
    assert sha256_of(document["content"]) == document["content_sha256"]
