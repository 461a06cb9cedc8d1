"""What the room shows and what it may lean on."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

import voicecheck.hearing as room
from voicecheck.errors import VoicecheckError
from voicecheck.hearing.errors import HearingError, LevelError, ProtectorDataError

FOLDER = Path(str(room.__file__)).parent
ALLOWED = {"numpy", "scipy"}


def test_all_is_sorted_and_true() -> None:
    """Every name in `__all__` exists."""
    assert set(room.__all__) <= set(dir(room))
    assert len(set(room.__all__)) == len(room.__all__)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda p: p.name)
def test_the_room_leans_on_nothing_else(path: Path) -> None:
    """Only the standard library, numpy, scipy, itself and the root error."""
    for name in imported(path):
        root = name.split(".", maxsplit=1)[0]
        ours = name.startswith(("voicecheck.hearing", "voicecheck.errors"))

        assert ours or root in ALLOWED or root in sys.stdlib_module_names, name


def imported(path: Path) -> list[str]:
    names = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names.append(node.module or "")
    return names


def test_errors_hang_on_the_one_root() -> None:
    """Every error of the room is a VoicecheckError and keeps its parts."""
    level = LevelError("noise level", -3, "0 to 160 dBA")
    data = ProtectorDataError("SNR", "x", "one number")

    assert issubclass(HearingError, VoicecheckError)
    assert (level.quantity, level.found, level.expected) == (
        "noise level",
        -3,
        "0 to 160 dBA",
    )
    assert (data.place, data.found) == ("SNR", "x")
    assert "give one number" in str(data)
