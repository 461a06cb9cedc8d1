"""The push token: made once, kept private, asked for before anything is read."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from starlette.responses import PlainTextResponse
from starlette.testclient import TestClient

from voicecheck.errors import UsageError
from voicecheck.server.push.door import Door, push_tokens

TOKENS = ("AAAA-BBBB-CCCC-DDDD", "EEEE-FFFF-GGGG-HHHH")


def test_a_token_is_made_once(tmp_path: Path) -> None:
    """For its owner's eyes only; the next start takes the same one."""
    path = tmp_path / "push-token"

    first = push_tokens(path, make=True)

    assert push_tokens(path, make=True) == first
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert len(first[0].replace("-", "")) == 20


def test_each_device_can_have_its_own(tmp_path: Path) -> None:
    """One a line; remarks and empty lines do not count."""
    path = tmp_path / "tokens"
    path.write_text(f"# yard\n{TOKENS[0]}\n\n# pit\n{TOKENS[1]}\n", encoding="utf-8")

    assert push_tokens(path, make=False) == TOKENS


@pytest.mark.parametrize("text", ["", "# nothing\n", "short", "x" * 15, "-" * 40])
def test_a_file_without_a_good_token_is_refused(tmp_path: Path, text: str) -> None:
    """An empty token would let everybody in."""
    path = tmp_path / "tokens"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(UsageError, match="at least 16"):
        push_tokens(path, make=False)


def test_a_missing_file_that_was_named_is_refused(tmp_path: Path) -> None:
    """Only the usual file is made by itself."""
    with pytest.raises(UsageError, match="cannot be read"):
        push_tokens(tmp_path / "tokens", make=False)


@pytest.mark.parametrize(
    ("given", "status"),
    [
        (f"Bearer {TOKENS[0]}", 200),
        (f"bearer {TOKENS[1].lower().replace('-', '')}", 200),
        ("", 401),
        ("Bearer ", 401),
        ("Bearer AAAA", 401),
        (f"Basic {TOKENS[0]}", 401),
        (TOKENS[0], 401),
        (f"Bearer {TOKENS[0]} {TOKENS[1]}", 401),
    ],
)
def test_only_the_token_opens(given: str, status: int) -> None:
    """Any of them, typed in any case, with or without dashes."""
    client = TestClient(Door(PlainTextResponse("in"), TOKENS))
    headers = {"authorization": given} if given else {}

    answer = client.post("/push/have", headers=headers)

    assert answer.status_code == status
    if status == 401:
        assert answer.headers["www-authenticate"] == "Bearer"
        assert "token" in answer.json()["error"]
