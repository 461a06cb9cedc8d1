"""The whole walk on real sound devices, with everything that can go wrong.

A PulseAudio server with null sinks is microphone and loudspeaker; a separate
process follows the events and plays spoken answers. In the middle the program
is killed, and later the devices are unplugged.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from voicecheck.checklists.loader import load
from voicecheck.demo.scenario import seeded_answers
from voicecheck.record import answers_file
from voicecheck.record.answer_json import answer_from_json
from voicecheck.testing.pulse import PulseServer

pytestmark = [pytest.mark.device, pytest.mark.slow]

KILLED_AFTER = 6
"""Answers until the program is killed."""
UNPLUGGED_AFTER = 12


class WalkProcess:
    """`voicecheck walk` and the process that answers it."""

    def __init__(self, folder: Path, answers: Path, *options: str) -> None:
        environment = os.environ | {"VOICECHECK_HOME": str(folder / "home")}
        self.log = (folder / "stderr.txt").open("a", encoding="utf-8")
        self.walk = subprocess.Popen(
            [
                *(sys.executable, "-m", "voicecheck.cli.main", "walk"),
                *("--unit", "L-12", "--operator", "kim", "--events", "-"),
                *options,
            ],
            stdout=subprocess.PIPE,
            stderr=self.log,
            text=True,
            env=environment,
        )
        self.operator = subprocess.Popen(
            [sys.executable, "-m", "voicecheck.testing.answering", str(answers)],
            stdin=subprocess.PIPE,
            stderr=self.log,
            text=True,
            env=environment,
        )

    def events(self) -> Iterator[dict[str, Any]]:
        """Pass every event on to the operator, and yield it."""
        assert self.walk.stdout is not None
        assert self.operator.stdin is not None
        for line in self.walk.stdout:
            try:
                self.operator.stdin.write(line)
                self.operator.stdin.flush()
            except BrokenPipeError:
                pass  # the operator has left; the walk goes on without an answer
            yield json.loads(line)

    def kill(self) -> None:
        """End both at once."""
        for process in (self.walk, self.operator):
            process.kill()
            process.wait()
        self.close()

    def close(self) -> None:
        """Close what is left of the pipes."""
        for stream in (self.walk.stdout, self.operator.stdin, self.log):
            if stream is not None:
                stream.close()


def test_whole_walk_survives_a_kill_and_an_unplugged_headset(
    server: PulseServer, tmp_path: Path
) -> None:
    """What the operator meant is what the record says, point for point."""
    checklist = load("wheel-loader")
    meant = seeded_answers(checklist, 4)
    answers = tmp_path / "answers.json"
    answers.write_text(answers_file.dump(meant, checklist), encoding="utf-8")

    confirmed: list[str] = []
    first = WalkProcess(tmp_path, answers)
    for event in first.events():
        if event["event"] == "answer":
            confirmed.append(event["checkpoint"])
        if len(confirmed) == KILLED_AFTER:
            break
    first.kill()

    second = WalkProcess(tmp_path, answers, "--resume")
    seen: list[str] = []
    finished: dict[str, Any] = {}
    for event in second.events():
        seen.append(event["event"])
        if event["event"] == "answer":
            confirmed.append(event["checkpoint"])
            if len(confirmed) == UNPLUGGED_AFTER:
                server.kill()
        if event["event"] == "device_lost":
            server.start()
        if event["event"] == "finished":
            finished = event
    status = second.walk.wait()
    second.operator.wait()
    second.close()

    errors = (tmp_path / "stderr.txt").read_text(encoding="utf-8")
    assert finished, errors[-3000:]
    record = json.loads(Path(finished["path"]).read_text(encoding="utf-8"))
    recorded = {
        entry["checkpoint"]: {
            key: value
            for key, value in entry.items()
            if key not in ("checkpoint", "zone", "unit")
        }
        for entry in record["content"]["answers"]
    }
    assert {k: answer_from_json(v) for k, v in recorded.items()} == meant
    assert seen.count("device_lost") >= 1
    assert "device_back" in seen
    assert len(confirmed) - seen.count("withdrawn") == len(meant)
    assert record["content"]["status"] == "signed"
    assert status == (record["content"]["decision"]["outcome"] == "out_of_service")
