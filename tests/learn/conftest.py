"""The shipped checklists, loaded once."""

from __future__ import annotations

from functools import cache

import pytest

from voicecheck.checklists import available, load
from voicecheck.round.checklist import Checklist

MACHINES = tuple(one.name for one in available())


@cache
def machine(name: str) -> Checklist:
    """Return a shipped checklist."""
    return load(name)


@pytest.fixture(params=MACHINES)
def checklist(request: pytest.FixtureRequest) -> Checklist:
    """Each shipped checklist in turn."""
    return machine(request.param)


@pytest.fixture
def loader() -> Checklist:
    """The wheel loader."""
    return machine("wheel-loader")
