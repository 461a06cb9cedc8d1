"""The command `voicecheck form`: at the keyboard, and from an answers file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import typer
from typer.testing import CliRunner

from voicecheck.checklists.loader import load
from voicecheck.cli.form import form
from voicecheck.clock import SystemClock
from voicecheck.demo.scenario import seeded_answers
from voicecheck.errors import (
    AnswersFileError,
    ChecklistError,
    JournalError,
    RecordNotFound,
    UsageError,
)
from voicecheck.record import answers_file
from voicecheck.record.document import schema
from voicecheck.round import events as ev
from voicecheck.round.answers import (
    Answer,
    Defect,
    Fault,
    Good,
    LevelSeen,
    No,
    ReadingTaken,
    Severity,
    Yes,
)
from voicecheck.round.answers import Level as OilLevel
from voicecheck.round.checklist import Checklist, CheckpointKind
from voicecheck.round.probing import to_parts
from voicecheck.round.walk import Walk
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession

LOADER = load("wheel-loader")
HARMLESS = next(
    point.id
    for point in LOADER.checkpoints
    if point.kind is CheckpointKind.CONDITION and not point.tags
)
app = typer.Typer()
app.command()(form)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give every test a home folder of its own."""
    folder = tmp_path / "home"
    monkeypatch.setenv("VOICECHECK_HOME", str(folder))
    return folder


def run(*arguments: str, typed: str = "") -> tuple[int, str, str]:
    """Run the command; return exit status, standard output and standard error."""
    result = CliRunner().invoke(app, ["--unit", "L-12", *arguments], input=typed)
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def good_answers(checklist: Checklist = LOADER) -> dict[str, Answer]:
    """Answers to every point with which the machine may work."""
    answers: dict[str, Answer] = {}
    for point in checklist.checkpoints:
        spec = point.reading
        if point.kind is CheckpointKind.START:
            answers[point.id] = Yes()
        elif point.kind is CheckpointKind.LEVEL:
            answers[point.id] = LevelSeen(level=OilLevel.FULL)
        elif spec is not None:
            low = spec.plausible_min if spec.low is None else spec.low
            answers[point.id] = ReadingTaken(value=low)
        else:
            answers[point.id] = Good()
    return answers


def answers_path(folder: Path, answers: dict[str, Answer]) -> Path:
    """Write an answers file."""
    path = folder / "answers.json"
    path.write_text(answers_file.dump(answers, LOADER), encoding="utf-8")
    return path


def keys(answers: dict[str, Answer]) -> str:
    """What somebody types to give these answers, from the first point to the yes."""
    lines = []
    place = LOADER.zones[0].place
    for zone in LOADER.zones:
        lines += [""] if zone.place is not place else []
        place = zone.place
        for point in zone.checkpoints:
            lines += to_parts(point, answers[point.id]).values()
    return "\n".join([*lines, "yes"]) + "\n"


def record_at(path: Path) -> dict[str, Any]:
    """Read a record and hold it against its schema."""
    data: dict[str, Any] = json.loads(path.read_text("utf-8"))
    jsonschema.validate(data, schema())
    return data


def test_the_whole_walk_from_a_file(tmp_path: Path) -> None:
    """The record is written, follows its schema, and lies where it was asked for."""
    out = tmp_path / "sub" / "record.json"
    answers = answers_path(tmp_path, good_answers())

    status, text, _ = run("--answers", str(answers), "--out", str(out))

    record = record_at(out)
    assert status == 0
    assert "DECISION: The machine may work." in text
    assert str(out) in text
    assert record["content"]["status"] == "signed"
    assert record["walk"]["mode"] == "typed"
    assert len(record["content"]["answers"]) == len(LOADER.checkpoints)
    assert {how["mode"] for how in record["how"]} == {"typed"}
    assert {how["confirmed_by"] for how in record["how"]} == {"typed"}


def test_typed_and_from_a_file_give_the_same_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same answers give the same content hash, however they came in."""
    answers = dict(seeded_answers(LOADER, 7))
    answers.update({k: Yes() for k, v in answers.items() if isinstance(v, No)})
    typed, filled = tmp_path / "typed.json", tmp_path / "filled.json"

    run("--out", str(typed), typed=keys(answers))
    # Elsewhere: here the machine may be out of service now.
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "other"))
    run("--answers", str(answers_path(tmp_path, answers)), "--out", str(filled))

    first, second = record_at(typed), record_at(filled)
    assert first["content_sha256"] == second["content_sha256"]
    assert first["content"] == second["content"]
    assert first["how"][0]["words"] != []


def test_good_typed_at_machine_speed_is_flagged(tmp_path: Path) -> None:
    """Lines fed in all at once are faster than anybody could have looked."""
    out = tmp_path / "record.json"

    status, _, _ = run("--out", str(out), typed=keys(good_answers()))

    flagged = record_at(out)["walk"]["counts"]["too_fast"]
    good = sum(isinstance(answer, Good) for answer in good_answers().values())
    assert status == 0
    assert flagged == good


def test_defects_that_allow_work_end_with_zero(tmp_path: Path) -> None:
    """May work with these defects is a positive result."""
    answers = good_answers()
    answers[HARMLESS] = Defect(fault=Fault.DIRTY, severity=Severity.MINOR)

    status, text, _ = run("--answers", str(answers_path(tmp_path, answers)), "--json")

    assert json.loads(text)["outcome"] == "may_work_with_defects"
    assert status == 0


def test_out_of_service_ends_with_one(tmp_path: Path) -> None:
    """A critical defect keeps the machine; the record is written all the same."""
    answers = good_answers()
    answers["horn"] = Defect(fault=Fault.NOT_WORKING, severity=Severity.CRITICAL)
    out = tmp_path / "record.json"

    status, text, _ = run(
        "--answers", str(answers_path(tmp_path, answers)), "--out", str(out)
    )

    assert status == 1
    assert "Out of service" in text
    assert record_at(out)["content"]["decision"]["outcome"] == "out_of_service"


def test_a_start_check_answered_no_ends_the_walk(tmp_path: Path) -> None:
    """The file need not answer what comes after; the exit status is 1."""
    first = LOADER.checkpoints[0].id
    path = answers_path(tmp_path, {first: No()})

    status, text, _ = run("--answers", str(path), "--json")

    result = json.loads(text)
    assert (status, result["status"], result["outcome"]) == (
        1,
        "stopped",
        "out_of_service",
    )
    assert record_at(Path(result["record"]))["content"]["declaration"] == {
        "accepted": None
    }


def test_missing_answers_are_listed_and_nothing_is_begun(tmp_path: Path) -> None:
    """The error names every point, and no walk is left behind."""
    answers = good_answers()
    left_out = list(answers)[10:20]
    for name in left_out:
        del answers[name]

    with pytest.raises(AnswersFileError) as error:
        run("--answers", str(answers_path(tmp_path, answers)))

    for name in left_out:
        assert name in str(error.value)
    with open_journal() as journal:
        assert journal.walks() == ()


def test_the_keyboard_that_ends_loses_nothing() -> None:
    """The walk is put aside, the way to carry on is shown, the status is 1."""
    status, text, _ = run(typed="yes\nyes\n")

    assert status == 1
    assert 'voicecheck form --unit "L-12" --resume' in text
    assert f"{len(LOADER.checkpoints) - 2} points left" in text
    status, text, _ = run("--resume", typed="pause\n")
    assert LOADER.checkpoints[2].prompt in text
    assert LOADER.checkpoints[0].prompt not in text


def test_every_interruption_resumes_where_it_was(tmp_path: Path) -> None:
    """Left after every few lines, the walk ends with the same content."""
    answers = good_answers()
    lines = keys(answers).splitlines(keepends=True)
    out = tmp_path / "pieces.json"
    run(typed="".join(lines[:7]))
    for begin in range(7, len(lines), 45):
        status, _, _ = run(
            "--resume", "--out", str(out), typed="".join(lines[begin : begin + 45])
        )
    whole = tmp_path / "whole.json"
    run("--answers", str(answers_path(tmp_path, answers)), "--out", str(whole))

    assert status == 0
    assert record_at(out)["content_sha256"] == record_at(whole)["content_sha256"]
    assert len(record_at(out)["walk"]["sittings"]) > 3


def test_a_walk_begun_by_voice_can_be_finished_typed() -> None:
    """What was said stays; the record shows both sittings."""
    first = LOADER.checkpoints[0].id
    with open_journal() as journal:
        spoken = WalkSession.start(
            journal, SystemClock(), LOADER, unit="L-12", mode="spoken"
        )
        spoken.commit(ev.AnswerConfirmed(checkpoint_id=first, answer=Yes()))

    _, text, _ = run("--resume", "--json", typed="stop\nyes\n")

    record = record_at(Path(json.loads(text)["record"]))
    assert [sitting["mode"] for sitting in record["walk"]["sittings"]] == [
        "spoken",
        "typed",
    ]
    assert [a["checkpoint"] for a in record["content"]["answers"]] == [first]


def test_resume_without_a_walk_says_so() -> None:
    """There is nothing to take up."""
    with pytest.raises(RecordNotFound, match="no unfinished walk"):
        run("--resume")


def test_resume_with_a_file_that_contradicts_is_refused(tmp_path: Path) -> None:
    """Nothing that was confirmed is overwritten."""
    run(typed="yes\n")
    path = answers_path(tmp_path, {LOADER.checkpoints[0].id: No()})

    with pytest.raises(AnswersFileError, match="already holds other answers"):
        run("--resume", "--answers", str(path))


def test_json_keeps_the_form_off_standard_output() -> None:
    """One object for programs on standard output, the questions on standard error."""
    status, text, screen = run("--json", typed="yes\nstop\nyes\n")

    result = json.loads(text)
    assert status == 1
    assert (result["finished"], result["status"]) == (True, "stopped")
    assert result["answers"] == 1
    assert LOADER.checkpoints[0].prompt in screen


def test_json_of_a_walk_put_aside() -> None:
    """It has no record yet, and says how many points are left."""
    _, text, _ = run("--json", typed="yes\n")

    result = json.loads(text)
    assert result["finished"] is False
    assert result["record"] is None
    assert result["left"] == len(LOADER.checkpoints) - 1


def test_bytes_that_are_no_text_are_no_answer() -> None:
    """They are refused like any other nonsense, without a traceback."""
    result = CliRunner().invoke(app, ["--unit", "L-12"], input=b"\xff\xfe\nyes\n")

    assert result.exit_code == 1
    assert "none of the answers here" in result.stdout
    assert f"{len(LOADER.checkpoints) - 1} points left" in result.stdout


def test_rules_of_the_site_tighten(tmp_path: Path) -> None:
    """A site may forbid work with any dirty part."""
    rules = tmp_path / "site.toml"
    rules.write_text(
        'format = 1\n[[rules]]\nid = "site_no_dirt"\noutcome = "out_of_service"\n'
        'text = "Wash it first."\nsource = "invented for tests"\n'
        'answers = ["defect"]\n',
        encoding="utf-8",
    )
    answers = good_answers()
    answers[HARMLESS] = Defect(fault=Fault.DIRTY, severity=Severity.MINOR)
    path = answers_path(tmp_path, answers)

    assert run("--answers", str(path))[0] == 0
    status, text, _ = run("--answers", str(path), "--site-rules", str(rules))
    assert status == 1
    assert "Wash it first." in text


@pytest.mark.parametrize(
    ("arguments", "error"),
    [
        (("--checklist", "no-such"), ChecklistError),
        (("--lang", "xx"), ChecklistError),
        (("--operator", "a/b"), UsageError),
        (("--answers", "no-such.json"), AnswersFileError),
        (("--site-rules", "no-such.toml"), ChecklistError),
    ],
)
def test_wrong_use_is_an_error(
    arguments: tuple[str, ...], error: type[Exception]
) -> None:
    """Each is refused before a walk is begun."""
    with pytest.raises(error):
        run(*arguments)
    with open_journal() as journal:
        assert journal.walks() == ()


def test_an_out_that_cannot_be_written_keeps_the_record(
    tmp_path: Path, home: Path
) -> None:
    """The record lies in the home folder all the same."""
    blocked = tmp_path / "file"
    blocked.write_text("")
    path = answers_path(tmp_path, good_answers())

    with pytest.raises(JournalError):
        run("--answers", str(path), "--out", str(blocked / "record.json"))

    assert len(list((home / "records").glob("*.json"))) == 1


def test_seeded_answers_can_be_walked() -> None:
    """The walk that the tests type has the shape of the shipped checklist."""
    walk = Walk(LOADER)

    assert walk.remaining == len(LOADER.checkpoints) >= 90
