"""Which tests run where."""

from __future__ import annotations

import os

import pytest

DEVICES = "VOICECHECK_DEVICES"


def pytest_report_header() -> str:
    """Say what is left out, and how to run it."""
    if _devices_wanted():
        return f"{DEVICES}=1: tests with virtual sound devices run; none may be missing"
    return f"tests with virtual sound devices are left out: set {DEVICES}=1 to run them"


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Leave tests of sound devices out unless they are asked for."""
    if _devices_wanted():
        return
    left_out = [item for item in items if item.get_closest_marker("device")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def _devices_wanted() -> bool:
    return os.environ.get(DEVICES, "") not in {"", "0"}
