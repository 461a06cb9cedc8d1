"""Ids of people."""

from __future__ import annotations

import pytest

from voicecheck.errors import UsageError
from voicecheck.people.names import person_id


@pytest.mark.parametrize(
    ("typed", "kept"), [(" J.Doe ", "J.Doe"), ("홍길동", "홍길동"), ("7", "7")]
)
def test_usual_ids(typed: str, kept: str) -> None:
    """Without spaces around them."""
    assert person_id(typed) == kept


@pytest.mark.parametrize("typed", ["", " ", "-x", "a/b", "a\nb", "x" * 65, "erased-1"])
def test_ids_that_cannot_be(typed: str) -> None:
    """Nothing that is a path, a line or the name of somebody erased."""
    with pytest.raises(UsageError):
        person_id(typed)
