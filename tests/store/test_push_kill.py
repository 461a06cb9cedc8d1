"""A push that is killed: what is at the far end is whole, and the next one ends it."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pytest

from voicecheck.clock import ManualClock
from voicecheck.form.filling import fill
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.dump import export_lines
from voicecheck.store.fleet import open_fleet
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.transfer import transfer
from voicecheck.testing.small_checklist import good_answers, small_checklist

PUSH = """
import sys
from pathlib import Path
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import open_fleet
from voicecheck.store.transfer import transfer
near, far = Path(sys.argv[1]), Path(sys.argv[2])
with open_fleet(near, folder=near.parent) as n, open_fleet(far) as f:
    print("ready", flush=True)
    transfer(n, DatabaseFarEnd(f), batch_characters=1,
             progress=lambda done, total: print(done, flush=True))
"""


@pytest.mark.slow
def test_killed_at_any_moment_a_push_leaves_a_whole_far_end(tmp_path: Path) -> None:
    """Kill -9 at random moments, then a whole push: the same, once."""
    near_path, far_path = tmp_path / "near.sqlite3", tmp_path / "far.sqlite3"
    clock, chance = ManualClock(), random.Random(3)
    with open_journal(near_path) as journal:
        for number in range(12):
            session = WalkSession.start(
                journal,
                clock,
                small_checklist(),
                unit=f"L-{number}",
                folder=tmp_path,
            )
            fill(session, good_answers())
            session.finish()

    for _ in range(4):
        with subprocess.Popen(
            [sys.executable, "-c", PUSH, str(near_path), str(far_path)],
            stdout=subprocess.PIPE,
            text=True,
        ) as child:
            assert child.stdout is not None
            for _ in range(chance.randrange(1, 12)):
                child.stdout.readline()
            sum(range(chance.randrange(200_000)))
            child.kill()
        with open_journal(far_path) as far_journal:
            assert all(far_journal.verify(one).ok for one in far_journal.ids())

    with open_fleet(near_path, folder=tmp_path) as near, open_fleet(far_path) as far:
        assert transfer(near, DatabaseFarEnd(far)).ok
        assert list(export_lines(far)) == list(export_lines(near))
