"""`voicecheck observe`, used from beginning to end as an assessor would."""

from __future__ import annotations

import io
import json
import sys
import tomllib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pypdf import PdfReader

from voicecheck.checklists.loader import load
from voicecheck.cli.main import main
from voicecheck.clock import ManualClock
from voicecheck.demo.scenario import seeded_answers
from voicecheck.observe.published import schema_text
from voicecheck.round.checklist import Checkpoint, CheckpointKind
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill

Run = Callable[..., tuple[int, str, str]]
UNIT = "L-12 training"
PLANT = (
    "left_front_nuts: defect loose major; tag: yellow tag at two o'clock",
    "loader_lines: leak hydraulic_oil II; tag: wet rag under the hose",
    "engine_oil_level: level low; shown: a dipstick",
    "left_front_pressure: reading 310; shown: a gauge",
    "horn: defect not_working major; tag: fuse out",
    "left_mirror: defect dirty minor; tag: mud",
)


@pytest.fixture
def run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run a command with typed lines, on a home with people in it."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))

    def call(*arguments: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["voicecheck", *arguments])
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        with pytest.raises(SystemExit) as left:
            main()
        out, err = capsys.readouterr()
        return int(str(left.value.code)), out, err

    call("people", "add", "M.Roe", "--role", "supervisor", "--by", "M.Roe")
    for assessor in ("C.Poe", "A.Lee"):
        call("people", "add", assessor, "--role", "assessor", "--by", "M.Roe")
    call("people", "add", "J.Doe", "--by", "J.Doe")
    return call


def sealed(run: Run, tmp_path: Path) -> str:
    """Plan and seal the six faults; return the commitment."""
    file = tmp_path / "monday.toml"
    plants = [part for one in PLANT for part in ("--plant", one)]
    status, out, _ = run(
        "observe", "plan", str(file), "--checklist", "wheel-loader", *plants
    )
    assert status == 0
    assert "6 planted: with all of them found, 95% certainty that at most 39%" in out
    status, out, _ = run("observe", "seal", str(file), "--json")
    assert status == 0
    return str(json.loads(out)["commitment"])


def begun(run: Run, commitment: str, by: str = "C.Poe") -> str:
    """Begin an observation; return its name."""
    status, out, _ = run(
        *("observe", "begin", "--trainee", "J.Doe", "--unit", UNIT),
        *("--by", by, "--seal", commitment[:8], "--json"),
    )
    assert status == 0
    return str(json.loads(out)["name"])


def good(point: Checkpoint) -> dict[str, Any]:
    """Return the answer of a point where nothing is wrong."""
    match point.kind:
        case CheckpointKind.START:
            return {"answer": "yes"}
        case CheckpointKind.LEVEL:
            return {"answer": "level", "level": "full"}
        case CheckpointKind.READING:
            spec = point.reading
            assert spec is not None
            low = spec.low or spec.plausible_min
            high = spec.high or spec.plausible_max
            return {"answer": "reading", "value": int((low + high) / 2)}
    return {"answer": "good"}


def walk(run: Run, tmp_path: Path, **found: dict[str, Any]) -> int:
    """Let the trainee walk with an answers file; return the exit status."""
    answers = {point.id: good(point) for point in load("wheel-loader").checkpoints}
    file = tmp_path / "answers.json"
    given = {"format": "voicecheck-answers/1", "answers": {**answers, **found}}
    file.write_text(json.dumps(given), encoding="utf-8")
    who = ("--operator", "J.Doe", "--answers", str(file))
    status, _, err = run("form", "--unit", UNIT, *who)
    assert status in (0, 1), err
    return status


LOOSE = {"answer": "defect", "fault": "loose", "severity": "minor"}
DIRTY = {"answer": "defect", "fault": "dirty", "severity": "minor"}
LEAK = {"answer": "leak", "fluid": "hydraulic_oil", "leak_class": "III"}
DUMB = {"answer": "defect", "fault": "not_working", "severity": "major"}
TYRE = {"answer": "reading", "value": 310}


def test_a_whole_observation(run: Run, tmp_path: Path) -> None:
    """Four of six found, one false alarm, the cab check passed by.

    By hand: 99 points less 9 start checks, the hour meter, which has no limits, and
    the 6 planted: 83 trials without a fault, one of them called. 95 were looked at
    properly: two glanced at, two passed by.
    """
    name = begun(run, sealed(run, tmp_path))
    marks = (
        "looked protective_gear\nmissed cab_empty\nl\n"
        "glanced left_front_tread\nglanced left_front_rim # too quick\n"
        "called left_front_nuts minor\nundo\nmissed engine_oil_level\nend\n"
    )
    status, out, err = run("observe", "mark", "J.Doe", "--by", "C.Poe", typed=marks)
    assert (status, err) == (0, "")
    assert out.count("\n") == 9
    walk(
        run,
        tmp_path,
        left_front_nuts=LOOSE,
        loader_lines=LEAK,
        left_front_pressure=TYRE,
        horn=DUMB,
        right_mirror=DIRTY,
    )

    status, out, _ = run("observe", "end", "J.Doe", "--by", "C.Poe")
    assert "told by the record" in out
    status, out, _ = run("observe", "result", name, "--as", "C.Poe", "--json")

    document = json.loads(out)
    jsonschema.validate(document, json.loads(schema_text("result.schema.json")))
    assert {fault["checkpoint"]: fault["found"] for fault in document["planted"]} == {
        "left_front_nuts": True,
        "loader_lines": True,
        "engine_oil_level": False,
        "left_front_pressure": True,
        "horn": True,
        "left_mirror": False,
    }
    assert document["false_alarms"] == ["right_mirror"]
    assert (document["coverage"]["count"], document["coverage"]["of"]) == (95, 99)
    assert (document["false_alarm"]["count"], document["false_alarm"]["of"]) == (1, 83)
    assert document["seal"]["state"] == "holds"
    happened = [o["id"] for o in document["decision"]["critical"] if o["happened"]]
    assert happened == ["cab_check_skipped", "critical_fault_missed"]
    assert document["decision"]["standing"] == "not_met"
    assert document["misses"]["needed"] == 124  # two missed, 5 % at 95 %


def test_planted_faults_are_no_defects_of_the_machine(run: Run, tmp_path: Path) -> None:
    """A training unit is not put out of service: the next trainee can walk."""
    assert walk(run, tmp_path, horn=DUMB) == 1  # out of service, for this walk

    _, out, _ = run("defects", "list", "--all")

    assert out == "There are no defects.\n"
    assert walk(run, tmp_path, horn=DUMB) == 1


def test_marks_alone_then_sign_appeal_and_files(run: Run, tmp_path: Path) -> None:
    """Silent walk: the marks tell; both sign, the trainee disagrees, paper is made."""
    name = begun(run, sealed(run, tmp_path))
    for words in (("looked", "horn"), ("called", "major"), ("unsafe", "three")):
        assert run("observe", "mark", "J.Doe", *words, "--by", "C.Poe")[0] == 0
    run("observe", "end", name, "--by", "C.Poe", "--reason", "rain")
    for who in ("C.Poe", "J.Doe"):
        status, out, _ = run("observe", "sign", name, "--by", who)
        assert (status, who in out) == (0, True)
    run("observe", "appeal", name, "--by", "J.Doe", "--text", "It was raining.")

    pdf, html = tmp_path / "r.pdf", tmp_path / "r.html"
    files = ("--pdf", str(pdf), "--html", str(html))
    status, _, _ = run("observe", "result", name, "--as", "J.Doe", *files)
    _, debrief, _ = run("observe", "result", name, "--as", "J.Doe", "--debrief")
    _, korean, _ = run("observe", "result", name, "--as", "M.Roe", "--lang", "ko")

    text = "".join(page.extract_text() for page in PdfReader(pdf).pages)
    assert status == 0
    assert "J.Doe" in text
    assert "It was raining." in text
    assert pdf.stat().st_mode & 0o077 == 0
    assert html.stat().st_mode & 0o077 == 0
    assert "not signed" not in html.read_text(encoding="utf-8")
    assert "You found 1 of the 6 planted faults" in debrief
    assert "세 점을 지지하지 않고" in korean


def test_a_scenario_changed_after_sealing_is_noticed(run: Run, tmp_path: Path) -> None:
    """Whoever has the sealed file may change it; the result says so."""
    commitment = sealed(run, tmp_path)
    name = begun(run, commitment)
    kept = tmp_path / "home" / "scenarios" / f"{commitment}.json"
    document = json.loads(kept.read_text(encoding="utf-8"))
    document["scenario"]["planted"].pop()
    changed = tmp_path / "changed.json"
    changed.write_text(json.dumps(document), encoding="utf-8")
    kept.write_text(json.dumps(document), encoding="utf-8")

    status, _, err = run("observe", "end", name, "--by", "C.Poe")
    assert status == 2
    assert "was changed after it was sealed" in err
    run("observe", "end", name, "--by", "C.Poe", "--sealed", str(changed))
    _, out, _ = run("observe", "result", name, "--as", "C.Poe")

    assert "The seal is broken" in out
    assert "THE CRITERIA ARE MET" not in out


def test_two_assessors_and_the_course(run: Run, tmp_path: Path) -> None:
    """A supervisor compares them, and looks at the course; others see neither."""
    commitment = sealed(run, tmp_path)
    names = {}
    for by, typed in (
        ("C.Poe", "looked horn\nglanced boom\nend\n"),
        ("A.Lee", "missed horn\nglanced boom\nend\n"),
    ):
        names[by] = begun(run, commitment, by)
        run("observe", "mark", names[by], "--by", by, typed=typed)
        run("observe", "end", names[by], "--by", by, "--walk", "none")

    pair = ("observe", "compare", names["C.Poe"], names["A.Lee"])
    status, out, _ = run(*pair, "--as", "M.Roe")
    refused, _, err = run(*pair, "--as", "A.Lee")
    _, course, _ = run("observe", "course", "--as", "M.Roe")
    _, listed, _ = run("observe", "list", "--as", "A.Lee", "--json")

    assert status == 0
    assert "Horn? | looked at properly | passed by" in out.replace("\n ", "")
    assert refused == 2
    assert "sees no observation" in err
    assert "Trainees: 1, observations: 2" in course
    assert [row["name"] for row in json.loads(listed)] == [names["A.Lee"]]


class Ticking(ManualClock):
    """A clock on which every look takes five seconds."""

    def now(self) -> datetime:
        self.advance(5)
        return super().now()


def test_times_by_zone_come_from_the_walk_of_somebody_who_knows(
    run: Run, tmp_path: Path
) -> None:
    """Each answer takes five seconds: six points of a wheel take thirty, and the
    step to the next zone belongs to it."""
    checklist = load("wheel-loader")
    with open_journal() as journal:
        session = WalkSession.start(
            journal, Ticking(), checklist, unit="L-12", operator="M.Roe"
        )
        fill(session, seeded_answers(checklist, 3))
        session.finish()
    file = tmp_path / "timed.toml"

    status, _, _ = run(
        *("observe", "plan", str(file), "--checklist", "wheel-loader"),
        *("--reference", session.walk_id[:8], "--plant", PLANT[0]),
    )

    data = tomllib.loads(file.read_text(encoding="utf-8"))["reference"]
    assert status == 0
    assert data["source"] == f"walk {session.walk_id[:8]}, 2026-01-05"
    assert data["zones"]["left_front_wheel"] == 30.0
    assert set(data["zones"]) == {zone.id for zone in checklist.zones}


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("observe", "result", "J.Doe", "--as", "C.Poe"), "sees no observation"),
        (("observe", "seal", "none.toml"), "no such file"),
        (
            *[("observe", "begin", "--trainee", "J.Doe", "--unit", UNIT)],
            "Missing option",
        ),
        (("observe", "course", "--as", "M.Roe"), "sees no observation"),
        (("observe", "list", "--as", "N.Obody"), "N.Obody"),
    ],
    ids=lambda value: value[1] if isinstance(value, tuple) else "",
)
def test_wrong_use_is_a_sentence(
    run: Run, arguments: tuple[str, ...], says: str
) -> None:
    """Exit status 2, no traceback."""
    status, out, err = run(*arguments)

    assert (status, out) == (2, "")
    assert says in err


def test_a_line_that_is_not_taken_is_told_and_counts(run: Run, tmp_path: Path) -> None:
    """Piped lines that mean nothing leave with 1, so that none goes unnoticed."""
    begun(run, sealed(run, tmp_path))

    status, out, err = run(
        "observe", "mark", "J.Doe", "--by", "C.Poe", typed="looked horn\nun three\n"
    )

    assert status == 1
    assert "looked" in out
    assert "1 lines were not taken" in err
    assert run("observe", "mark", "J.Doe", "horn", "--by", "A.Lee")[0] == 2
