"""`voicecheck bench`: wrong use is told before anything long begins."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from voicecheck.bench.corpus import save_family
from voicecheck.cli.main import app
from voicecheck.errors import UsageError
from voicecheck.testing.scripted_hearing import tiny_corpus, whistle


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("hearing", "--engines", "ear"), "no engine 'ear'"),
        (("hearing", "--noises", "rain"), "no noise 'rain'"),
        (("hearing", "--split", "left"), "--split takes"),
        (("hearing",), "no corpus"),
        (("latency", "--noises", "rain"), "no noise 'rain'"),
        (("confusions", "--question", "nosuch"), "no question"),
        (("confusions", "--split", "left"), "--split takes"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_wrong_use(arguments: tuple[str, ...], told: str, tmp_path: Path) -> None:
    """A sentence that says what to choose from."""
    found = CliRunner().invoke(app, ["bench", *arguments, "--corpus", str(tmp_path)])

    assert isinstance(found.exception, UsageError)
    assert told in str(found.exception)


def test_hearing_writes_its_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One bare engine on whistles: tables on the terminal, files in the folder."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))
    save_family(tmp_path / "w.npz", tiny_corpus())
    out = tmp_path / "out"

    found = CliRunner().invoke(
        app,
        ["bench", "hearing", "--corpus", str(tmp_path), "--out", str(out),
         "--engines", "pocketsphinx", "--noises", "quiet", "--trials", "2"],
    )  # fmt: skip

    assert found.exception is None
    assert "PocketSphinx" in found.stdout
    assert "quiet: 4 of 4 trials" in found.stderr
    assert {"hearing.json", "hearing.md", "rows.jsonl"} <= {
        path.name for path in out.iterdir()
    }


def test_confusions_are_written_and_named(tmp_path: Path) -> None:
    """Whistles are no words: nothing or something wrong, the file is there."""
    save_family(tmp_path / "w.npz", [whistle("minor"), whistle("good")])
    out = tmp_path / "c.json"

    found = CliRunner().invoke(
        app,
        ["bench", "confusions", "--corpus", str(tmp_path), "--out", str(out),
         "--question", "severity", "--noises", "quiet", "--repeats", "1"],
    )  # fmt: skip

    assert found.exception is None
    assert "1 trials" in found.stdout
    assert out.exists()
