"""Building a corpus: nothing that is there is written over by mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.bench.build_corpus import main
from voicecheck.bench.corpus import NUMBERS_PART


def test_talk_and_numbers_are_asked_for_one_at_a_time(tmp_path: Path) -> None:
    """Both at once would write one under the name of the other."""
    with pytest.raises(SystemExit):
        main([str(tmp_path), "--talk", "--numbers", "tube"])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", ["", NUMBERS_PART])
def test_morphing_nothing_says_what_to_build_first(
    suffix: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """The parts may follow the option."""
    kind = ["--numbers"] if suffix else []

    assert main([str(tmp_path), *kind, "morphed"]) == 1

    assert "build one of kokoro" in caplog.text
    assert list(tmp_path.iterdir()) == []


def test_a_broken_part_is_left_as_it_is(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """It is named, and not begun anew: it may hold what took hours."""
    part = tmp_path / "espeak.npz"
    part.write_bytes(b"cut off")

    assert main([str(tmp_path), "espeak"]) == 1

    assert "espeak.npz is no part of a corpus" in caplog.text
    assert part.read_bytes() == b"cut off"
