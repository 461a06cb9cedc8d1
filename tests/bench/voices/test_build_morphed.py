"""Building the morphed part: what it needs, and what is said without it."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest

from voicecheck.bench.build_corpus import main


def test_without_sources_nothing_is_written_and_the_log_says_why(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """The morphed part names the parts to build first, and leaves no file."""
    with caplog.at_level(logging.ERROR):
        assert main([str(tmp_path), "morphed"]) == 1
    assert "build one of kokoro" in caplog.text
    assert not (tmp_path / "morphed.npz").exists()
