"""The prompt measurements as tables, JSON and files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from voicecheck.audio.noise import NoiseKind
from voicecheck.bench import prompts_report
from voicecheck.bench.prompts import (
    NO_STOI,
    Asked,
    Gain,
    PromptResult,
    Row,
    _gain,
    noises_named,
    word_pairs,
)
from voicecheck.errors import UsageError

SAME = Gain(mean=0.5, change=0.0, error=0.0)
BETTER = Gain(mean=0.6, change=0.1, error=0.02)


def row(choice: str, way: str, stoi: Gain | None, right: Gain) -> Row:
    """One line of a table."""
    return Row(
        noise=NoiseKind.IDLE,
        choice=choice,
        way=way,
        trials=4,
        sii=SAME,
        stoi=stoi,
        right=right,
        probability=SAME,
    )


RESULT = PromptResult(
    asked=Asked(noises=(NoiseKind.IDLE,)),
    engine="double",
    rows=(row("usual", "usual", SAME, SAME), row("pitch", "pitch 80", BETTER, BETTER)),
)


def test_the_table_shows_what_each_choice_gains() -> None:
    """The mean, and behind it the change and its standard error."""
    lines = prompts_report.as_text(RESULT).splitlines()

    assert lines[0] == "idle noise, 0 dB, 10 prompts, recogniser double"
    assert lines[4] == "| usual | usual | 0.500 | 0.500 | 50 % | 0.500 |"
    assert "| 0.600 (+0.100 ± 0.020) | 60 % (+10 ± 2) |" in lines[5]


def test_a_missing_library_is_named_with_its_remedy(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A dash in the column, and what to install."""
    monkeypatch.setattr(prompts_report, "can_stoi", lambda: False)
    bare = PromptResult(
        asked=RESULT.asked, engine="double", rows=(row("usual", "usual", None, SAME),)
    )

    text = prompts_report.as_text(bare)

    assert "| usual | usual | 0.500 | - |" in text
    assert text.endswith(NO_STOI)
    assert "pip install pystoi" in NO_STOI


def test_json_and_tables_are_written(tmp_path: Path) -> None:
    """And a picture where it can be drawn, or the hint that it cannot."""
    written, hint = prompts_report.write_prompts(RESULT, tmp_path / "new")

    names = [path.name for path in written]
    assert names[:2] == ["prompts.json", "prompts.md"]
    assert ("prompts.png" in names) is (hint == "")
    assert all(path.stat().st_size > 0 for path in written)
    data = json.loads(written[0].read_text(encoding="utf-8"))
    assert data["asked"]["noises"] == ["idle"]
    assert data["rows"][1]["stoi"] == {"mean": 0.6, "change": 0.1, "error": 0.02}


def test_a_change_is_taken_pair_by_pair() -> None:
    """Mean of the differences, and their standard error by hand: 0.1 and 0.3 give
    0.2 and 0.1."""
    gain = _gain([0.6, 0.8], [0.5, 0.5])

    assert gain.mean == pytest.approx(0.7)
    assert gain.change == pytest.approx(0.2)
    assert gain.error == pytest.approx(0.1)


def test_words_are_compared_within_one_meaning() -> None:
    """The first word of a meaning against its second."""
    pairs = word_pairs("fault")

    assert [(a.text, b.text) for a, b in pairs] == [
        ("corroded", "rusted"),
        ("plugged", "blocked"),
    ]
    assert all(a.meaning == b.meaning for a, b in pairs)


@pytest.mark.parametrize("text", ["rain", "idle,rain", "", "quiet"])
def test_an_unknown_noise_is_wrong_use(text: str) -> None:
    """The error says which noises there are."""
    with pytest.raises(UsageError, match="idle"):
        noises_named(text)
    assert noises_named("idle, wind") == (NoiseKind.IDLE, NoiseKind.WIND)
