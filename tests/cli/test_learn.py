"""`voicecheck learn`, typed: kept at once, taken up again, shown to those who may."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from voicecheck.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run a command with typed lines; return exit status and both outputs."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))

    def call(*arguments: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["voicecheck", *arguments])
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        with pytest.raises(SystemExit) as left:
            main()
        out, err = capsys.readouterr()
        return int(str(left.value.code)), out, err

    return call


JDOE = ("--learner", "J.Doe")


def test_a_beginner_gets_a_plan_without_being_registered(run: Run) -> None:
    """Looking at a plan registers nobody."""
    status, out, _ = run("learn", "plan", *JDOE)
    _, _, err = run("learn", "progress", *JDOE)

    assert status == 0
    assert "before approach" in out
    assert "voicecheck learn spot --learner J.Doe" in out
    assert "J.Doe" in err


def test_calls_are_kept_and_shown_as_progress(run: Run) -> None:
    """Six start checks, three called; then progress tells of three."""
    status, out, _ = run(
        "learn", "spot", *JDOE, "--typed", "--count", "6", typed="yes\nno\nyes\n"
    )
    _, text, _ = run("learn", "progress", *JDOE, "--json")

    assert status == 0
    assert "What you answered is kept." in out
    document = json.loads(text)
    assert document["overall"]["right"]["of"] == 3
    assert document["cards"]["count"] == 3


def test_an_order_that_broke_off_is_taken_up(run: Run) -> None:
    """Two said, the input ends; the next sitting goes on, and compares all four."""
    arguments = ("learn", "next", *JDOE, "--typed", "--zone", "bucket")
    run(*arguments, typed="welds\npins, bolts\n")

    _, out, _ = run(*arguments, typed="edge\nteeth\nthat is all\n")
    _, again, _ = run(*arguments, typed="stop\n")

    assert "2 answers are taken up" in out
    assert "The bucket: all in order." in out
    assert "taken up" not in again, "what has ended begins anew"


def test_a_guided_walk_goes_on_behind_the_last_point(run: Run) -> None:
    """After two points the next sitting begins at the third."""
    run("learn", "guided", *JDOE, "--typed", typed="next\nnext\n")

    _, out, _ = run("learn", "guided", *JDOE, "--typed", typed="")

    assert "Is everyone clear of the joint?" in out
    assert "Is your protective gear on?" not in out


def test_the_result_of_a_sitting_for_programs(run: Run) -> None:
    """With --json the standard output holds JSON alone."""
    status, out, err = run(
        "learn", "spot", *JDOE, "--typed", "--count", "1", "--json", typed="yes\n"
    )

    assert status == 0
    result = json.loads(out)
    assert result["mode"] == "spot"
    assert result["reviews"] == 1
    assert "Yes or no?" in err


def test_rules_of_the_site_decide_as_well(run: Run, tmp_path: Path) -> None:
    """A worn tooth may work; where the site says no, no is the right call."""
    rules = tmp_path / "site.toml"
    rules.write_text(
        """
format = 1
[[rules]]
id = "any_tooth"
outcome = "out_of_service"
checkpoints = ["bucket_teeth"]
answers = ["defect"]
text = "On this site no bucket works with a loose tooth."
source = "rules of the site"
""",
        encoding="utf-8",
    )
    arguments = ("learn", "spot", *JDOE, "--typed", "--zone", "bucket")
    arguments = (*arguments, "--count", "60", "--json")
    typed = "defect\nminor\nyes\n" * 60

    def expected(*more: str) -> set[bool]:
        _, out, _ = run(*arguments, *more, typed=typed)
        return {
            event["expected"]["may_work"]
            for event in json.loads(out)["events"]
            if event["kind"] == "learn/call/1"
            and event["checkpoint"] == "bucket_teeth"
            and event["expected"]["opened"] == "defect"
        }

    assert expected() == {True}
    assert expected("--site-rules", str(rules)) == {False}


def test_files_are_written(run: Run, tmp_path: Path) -> None:
    """PDF and page of somebody who has just begun."""
    run("learn", "spot", *JDOE, "--typed", "--count", "1", typed="yes\n")

    status, _, _ = run(
        *("learn", "progress", *JDOE),
        *("--pdf", str(tmp_path / "p.pdf"), "--html", str(tmp_path / "p.html")),
    )

    assert status == 0
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")
    assert "Progress of J.Doe" in (tmp_path / "p.html").read_text("utf-8")


def test_another_learner_may_not_look(run: Run) -> None:
    """Exit 2 with a sentence; the look stands among J.Doe's looks."""
    for who in ("J.Doe", "M.Roe"):
        run(
            *("learn", "spot", "--learner", who, "--typed", "--count", "1"),
            typed="yes\n",
        )

    status, out, err = run("learn", "progress", *JDOE, "--as", "M.Roe")
    _, looks, _ = run("people", "looks", "J.Doe", "--as", "J.Doe", "--json")

    assert (status, out) == (2, "")
    assert "M.Roe may not see J.Doe's results" in err
    assert any(one["reader"] == "M.Roe" for one in json.loads(looks))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("spot", *JDOE, "--typed", "--zone", "nosuch"), "nosuch"),
        (("next", *JDOE, "--typed", "--zone", "nosuch"), "nosuch"),
        (("plan", *JDOE, "--checklist", "nosuch"), "nosuch"),
        (("plan", *JDOE, "--minutes", "0"), "minutes"),
    ],
    ids=["zone of calls", "zone of order", "checklist", "no minutes"],
)
def test_wrong_use_is_said(run: Run, arguments: tuple[str, ...], says: str) -> None:
    """Exit 2, and what was wrong."""
    status, _, err = run("learn", *arguments)

    assert status == 2
    assert says in err
