"""A walk on real sound devices, from beginning to end, with what can go wrong.

A PulseAudio server with null sinks is microphone and loudspeaker; a separate
process follows the events and plays spoken answers. In the middle the program
is killed, later the devices are unplugged, and the operator says a wrong word
and takes it back. It takes as long as it takes a person, so that the walk is a
short one with every kind of answer; all points of the shipped checklist are
walked on the simulated link, see tests/demo.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from voicecheck.checklists.loader import load
from voicecheck.record import answers_file
from voicecheck.record.answer_json import answer_from_json
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
    Yes,
)
from voicecheck.testing.pulse import PulseServer
from voicecheck.testing.short_walk import POINTS, short_walk

pytestmark = [pytest.mark.device, pytest.mark.slow]

KILLED_AFTER = 4
"""Answers until the program is killed."""
UNPLUGGED_AFTER = 6
SLIP = "fan_guard"
"""Where the operator says "good" and then takes it back."""

MEANT: dict[str, Answer] = {
    **dict.fromkeys(POINTS, Good()),
    "protective_gear": Yes(),
    "cab_empty": Yes(),
    "left_front_pressure": ReadingTaken(value=Decimal(438)),
    "bucket_welds": Defect(fault=Fault.CRACKED, severity=Severity.MAJOR),
    "bucket_teeth": NotFitted(),
    "loader_cylinders": Leak(fluid="hydraulic_oil", leak_class=LeakClass.TWO),
    "engine_oil_level": LevelSeen(level=Level.LOW),
    "fan_guard": CouldNotCheck(reason=Reason.TOO_DARK),
}


class WalkProcess:
    """`voicecheck walk` and the process that answers it."""

    def __init__(
        self, folder: Path, checklist: Path, answers: Path, *options: str
    ) -> None:
        environment = os.environ | {"VOICECHECK_HOME": str(folder / "home")}
        self.log = (folder / "stderr.txt").open("a", encoding="utf-8")
        self.walk = subprocess.Popen(
            [
                *(sys.executable, "-m", "voicecheck.cli.main", "walk"),
                *("--unit", "L-12", "--operator", "kim", "--events", "-"),
                *("--checklist", str(checklist)),
                *options,
            ],
            stdout=subprocess.PIPE,
            stderr=self.log,
            text=True,
            env=environment,
        )
        self.operator = subprocess.Popen(
            [
                *(sys.executable, "-m", "voicecheck.testing.answering", str(answers)),
                *("--checklist", str(checklist), "--slip", SLIP),
            ],
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


def _asks_about_the_slip(event: dict[str, Any]) -> bool:
    """Whether the wrong word is read back, which it is where it was heard in doubt."""
    return (
        event["event"] == "readback"
        and event["checkpoint"] == SLIP
        and event["value"] == {"answer": "good"}
        and event["text"].endswith("Right?")
    )


def test_a_walk_survives_a_kill_an_unplugged_headset_and_a_wrong_word(
    server: PulseServer, tmp_path: Path
) -> None:
    """What the operator meant is what the record says, point for point."""
    short = tmp_path / "short-walk.toml"
    short.write_text(short_walk(), encoding="utf-8")
    answers = tmp_path / "answers.json"
    answers.write_text(answers_file.dump(MEANT, load(short)), encoding="utf-8")

    confirmed: list[str] = []
    first = WalkProcess(tmp_path, short, answers)
    for event in first.events():
        if event["event"] == "answer":
            confirmed.append(event["checkpoint"])
        if len(confirmed) == KILLED_AFTER:
            break
    first.kill()

    second = WalkProcess(tmp_path, short, answers, "--resume")
    seen: list[str] = []
    put_right: list[str] = []
    finished: dict[str, Any] = {}
    for event in second.events():
        seen.append(event["event"])
        if event["event"] == "answer":
            confirmed.append(event["checkpoint"])
            if len(confirmed) == UNPLUGGED_AFTER:
                server.kill()
        if event["event"] == "withdrawn" or _asks_about_the_slip(event):
            put_right.append(event["checkpoint"])
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
    assert {k: answer_from_json(v) for k, v in recorded.items()} == MEANT
    assert seen.count("device_lost") >= 1
    assert "device_back" in seen
    assert put_right == [SLIP], "taken back, or refused when it was read back"
    assert len(confirmed) - seen.count("withdrawn") == len(MEANT)
    assert record["content"]["status"] == "signed"
    assert status == (record["content"]["decision"]["outcome"] == "out_of_service")
