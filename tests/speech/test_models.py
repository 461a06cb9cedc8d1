"""Which models there are, and whether a folder is one."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest
from typer.testing import CliRunner

from voicecheck.cli.models import app
from voicecheck.errors import ModelError
from voicecheck.speech import models
from voicecheck.speech.model_folder import (
    check_shape,
    guess_language,
    sha256_of_tree,
)

PARTS = ("am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst", "graph/Gr.fst")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own for every test."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def folder(place: Path, name: str = "vosk-model-small-en-us-0.15") -> Path:
    """A folder of the right shape, with other contents than a model."""
    root = place / name
    for part in PARTS:
        path = root / part
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(part)
    return root


def test_a_model_is_remembered_with_its_path_language_and_hash(tmp_path: Path) -> None:
    """What was added is found again by its language."""
    root = folder(tmp_path)
    added = models.add_model(root)
    assert (added.language, added.path) == ("en", root)
    found = models.find_model("en")
    assert found == added
    assert found is not None
    assert found.sha256 == found.full_sha256()


def test_the_hash_is_that_of_the_lines_that_sha256sum_prints(tmp_path: Path) -> None:
    """The hash can be checked with common tools: sha256sum's lines, hashed."""
    root = folder(tmp_path)
    lines = "".join(
        f"{hashlib.sha256(part.encode()).hexdigest()}  {part}\n"
        for part in sorted(PARTS)
    )
    assert sha256_of_tree(root) == hashlib.sha256(lines.encode()).hexdigest()


def test_an_altered_model_is_refused_until_it_is_added_again(tmp_path: Path) -> None:
    """Files that are no longer those that were added are not loaded."""
    root = folder(tmp_path)
    models.add_model(root)
    (root / "am" / "final.mdl").write_text("something else")
    with pytest.raises(ModelError, match="changed after it was added"):
        models.find_model("en")
    models.add_model(root)
    assert models.find_model("en") is not None


def test_a_touched_model_with_the_same_contents_is_accepted(tmp_path: Path) -> None:
    """A new time of change alone, as after a copy, is no alteration."""
    root = folder(tmp_path)
    models.add_model(root)
    os.utime(root / "am" / "final.mdl", (1, 1))
    assert models.find_model("en") is not None


def test_a_model_that_went_away_is_an_error_and_not_silently_skipped(
    tmp_path: Path,
) -> None:
    """A lost model is told, so that no other engine takes over unseen."""
    root = folder(tmp_path)
    models.add_model(root)
    (root / "graph" / "Gr.fst").unlink()
    with pytest.raises(ModelError, match=r"graph/Gr\.fst missing"):
        models.find_model("en")


def test_a_model_with_a_fixed_graph_is_refused(tmp_path: Path) -> None:
    """A static graph ignores the grammar of the question: refused by name."""
    root = folder(tmp_path)
    (root / "graph" / "HCLr.fst").rename(root / "graph" / "HCLG.fst")
    with pytest.raises(ModelError, match="graph is fixed"):
        check_shape(root)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        ("nothing", "no such folder"),
        ("file", "unpack it"),
        ("empty", "missing"),
        ("outer", "one folder deeper"),
    ],
)
def test_a_wrong_path_is_told_in_words(tmp_path: Path, made: str, message: str) -> None:
    """Each usual mistake has its own sentence."""
    path = tmp_path / "x"
    if made == "file":
        path.write_text("zip")
    elif made != "nothing":
        path.mkdir()
    if made == "outer":
        folder(path)
    with pytest.raises(ModelError, match=message):
        models.add_model(path)


@pytest.mark.parametrize(
    ("name", "language"),
    [
        ("vosk-model-small-en-us-0.15", "en"),
        ("vosk-model-small-ko-0.22", "ko"),
        ("vosk-model-en-us-0.22-lgraph", "en"),
        ("vosk-model-small-de-0.15", "de"),
        ("my model", None),
    ],
)
def test_the_language_is_read_off_the_name(
    tmp_path: Path, name: str, language: str | None
) -> None:
    """The names under which the Vosk project publishes models tell the language."""
    assert guess_language(tmp_path / name) == language


def test_a_model_without_a_known_language_needs_to_be_told(tmp_path: Path) -> None:
    """Nothing is guessed: the option is asked for, and then it works."""
    root = folder(tmp_path, "mine")
    with pytest.raises(ModelError, match="--language"):
        models.add_model(root)
    (root / "README").write_text("Small Korean for Vosk")
    assert models.add_model(root).language == "ko"
    assert models.add_model(root, language="en").language == "en"


def test_two_models_cannot_share_a_name(tmp_path: Path) -> None:
    """A name stands for one folder."""
    models.add_model(folder(tmp_path / "a"))
    with pytest.raises(ModelError, match="taken"):
        models.add_model(folder(tmp_path / "b"))
    models.add_model(folder(tmp_path / "b"), name="other")
    assert {m.name for m in models.list_models() if m.source == "added"} == {
        "vosk-model-small-en-us-0.15",
        "other",
    }


def test_removing_forgets_and_leaves_the_files(tmp_path: Path) -> None:
    """Only the memory of a model is removed."""
    root = folder(tmp_path)
    models.add_model(root)
    models.remove_model(root.name)
    assert models.find_model("en") is None
    assert (root / "am" / "final.mdl").is_file()
    with pytest.raises(ModelError, match="no model"):
        models.remove_model(root.name)


def test_the_packaged_korean_model_is_found_and_cannot_be_removed() -> None:
    """The package of the test extra is there and has the right shape."""
    model = models.find_model("ko")
    assert model is not None
    assert model.source is models.Source.PACKAGED
    with pytest.raises(ModelError, match="not added by path"):
        models.remove_model(model.name)


def test_an_added_model_wins_over_the_packaged_one(tmp_path: Path) -> None:
    """What the user chose comes first."""
    models.add_model(folder(tmp_path, "vosk-model-small-ko-0.22"))
    model = models.find_model("ko")
    assert model is not None
    assert model.source is models.Source.ADDED


def test_a_damaged_memory_is_told(own_home: Path) -> None:
    """A file that cannot be read is named, with what to do."""
    own_home.mkdir()
    (own_home / "models.json").write_text("{")
    with pytest.raises(ModelError, match=r"models\.json cannot be read"):
        models.list_models()


def test_the_commands_add_list_verify_and_remove(tmp_path: Path) -> None:
    """The three commands agree, in JSON and in words."""
    root = folder(tmp_path)
    run = CliRunner().invoke
    added = json.loads(run(app, ["add", str(root), "--json"]).stdout)
    assert added["language"] == "en"
    assert added["sha256"] == sha256_of_tree(root)
    result = run(app, ["list", "--verify", "--json"])
    listed = {entry["name"]: entry for entry in json.loads(result.stdout)}
    assert result.exit_code == 0
    assert listed[root.name]["sha256"] == added["sha256"]
    assert all(entry["problem"] is None for entry in listed.values())
    (root / "am" / "final.mdl").write_text("something else")
    result = run(app, ["list"])
    assert result.exit_code == 1
    assert "UNUSABLE" in result.stdout
    assert "Removed" in run(app, ["remove", root.name]).stdout


@pytest.mark.parametrize("command", [[], ["list"], ["add"], ["remove"]])
def test_help_shows_an_example(command: list[str]) -> None:
    """Every command's help shows how it is used."""
    assert "Example: voicecheck models" in CliRunner().invoke(
        app, [*command, "--help"]
    ).stdout.replace("\n", " ")
