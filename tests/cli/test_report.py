"""`voicecheck report` and `records export --pdf`, on a store with one walk."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from voicecheck.checklists.loader import load
from voicecheck.cli.main import main
from voicecheck.clock import ManualClock
from voicecheck.demo.scenario import seeded_answers
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill

WALKED = datetime(2026, 10, 5, 6, 0, tzinfo=UTC)


@pytest.fixture
def walk_id(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Give the id of a walk with findings, in a store of its own."""
    home = tmp_path / "home"
    monkeypatch.setenv("VOICECHECK_HOME", str(home))
    checklist = load("wheel-loader", "en")
    with open_journal() as journal:
        session = WalkSession.start(
            journal,
            ManualClock(WALKED),
            checklist,
            unit="L-12",
            operator="J.Doe",
            folder=home,
        )
        fill(session, seeded_answers(checklist, 3))
        session.finish()
        return session.walk_id


def run(monkeypatch: pytest.MonkeyPatch, *arguments: str) -> int:
    """Run the program; return its exit status."""
    monkeypatch.setattr(sys, "argv", ["voicecheck", *arguments])
    with pytest.raises(SystemExit) as left:
        main()
    return int(str(left.value.code))


def text_of(path: Path) -> str:
    """Return the text of a PDF."""
    return "".join(page.extract_text() for page in PdfReader(path).pages)


def test_a_walk_as_pdf_and_page(
    walk_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both files from one command, and the PDF alone from `records export`."""
    pdf, html, other = (tmp_path / name for name in ("w.pdf", "w.html", "o.pdf"))

    made = run(
        monkeypatch, "report", "walk", walk_id, "--pdf", str(pdf), "--html", str(html)
    )
    exported = run(monkeypatch, "records", "export", walk_id, "--pdf", str(other))

    assert (made, exported) == (0, 0)
    assert walk_id in text_of(pdf)
    assert walk_id in html.read_text(encoding="utf-8")
    assert other.read_bytes() == pdf.read_bytes()


def test_a_tag_from_a_record_and_by_hand(
    walk_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All from the record, or what the options say; too little is refused."""
    sheet = tmp_path / "tag.pdf"

    assert (
        run(monkeypatch, "report", "tag", "--walk", walk_id, "--pdf", str(sheet)) == 0
    )
    text = text_of(sheet)
    assert "DANGER" in text and "L-12" in text and "J.Doe" in text
    assert "Horn?" in text or "Left rear wheel nuts?" in text

    few = run(monkeypatch, "report", "tag", "--unit", "L-12", "--pdf", str(sheet))
    assert few == 2


def test_a_period_as_pdf_page_and_csv(
    walk_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of ten shifts was walked; the workshop's defects are used."""
    paths = {name: tmp_path / f"p.{name}" for name in ("pdf", "html", "csv")}
    options = [
        part for name, path in paths.items() for part in (f"--{name}", str(path))
    ]

    status = run(
        monkeypatch,
        *("report", "period", "--unit", "L-12", "--timezone", "UTC"),
        *("--from", "2026-10-03", "--to", "2026-10-07", "--shifts-per-day", "2"),
        *options,
    )

    assert status == 0
    lines = paths["csv"].read_text(encoding="utf-8").splitlines()
    assert "shifts,,done,count,1,,," in lines
    assert "shifts,,missing,count,9,,," in lines
    assert "Time to repair" in paths["html"].read_text(encoding="utf-8")
    assert "Findings by zone" in text_of(paths["pdf"])
    assert walk_id


@pytest.mark.parametrize(
    "arguments",
    [
        ("report", "walk", "6b03a8bd"),
        ("report", "walk", "6b03a8bd", "--pdf", "x.pdf"),
        ("report", "period", "--from", "2026-10-03", "--to", "2026-10-07"),
        (
            "report",
            "period",
            "--from",
            "2026-10-03",
            "--to",
            "2026-10-01",
            "--csv",
            "x",
        ),
        ("report", "period", "--from", "October", "--to", "2026-10-01", "--csv", "x"),
    ],
    ids=" ".join,
)
def test_wrong_use_is_refused_and_writes_nothing(
    arguments: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Status 2 and a sentence; no file."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)

    assert run(monkeypatch, *arguments) == 2
    assert len(capsys.readouterr().err) > 10
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == []
