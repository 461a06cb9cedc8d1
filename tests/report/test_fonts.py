"""Fonts are found, and no letter is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.errors import UsageError
from voicecheck.report.fonts import fonts_for, hangul, latin, writable


def test_the_font_of_europe_is_always_there() -> None:
    """German, French, Czech, Greek, Russian letters and the signs of readings."""
    text = "äöüß éèç řž αΩ Привет ° ² µ ≤ ≥ … – ±"

    assert not latin().lacks(text)
    assert fonts_for(text, "en") == [latin()]


def test_hangul_in_an_english_text_adds_a_font() -> None:
    """A Korean name in an English record is written in its own letters."""
    first, second = fonts_for("operator 홍길동", "en")

    assert first == latin()
    assert not second.lacks("홍길동")


def test_korean_puts_hangul_first() -> None:
    """So that Korean pages look of one piece."""
    assert fonts_for("점검", "ko") == [hangul(), latin()]


def test_a_named_font_must_have_hangul() -> None:
    """A Latin font named for Korean is refused with a way out."""
    with pytest.raises(UsageError, match=r"no Hangul.*--font"):
        hangul(latin().regular)


def test_a_file_that_is_no_font_is_refused(tmp_path: Path) -> None:
    """With its name."""
    path = tmp_path / "no.ttf"
    path.write_text("no font")

    with pytest.raises(UsageError, match=r"no\.ttf is no font"):
        hangul(path)


def test_signs_without_a_shape_become_numbers() -> None:
    """Letters stay, line breaks too."""
    assert writable("a✓\nb\x00", [latin()]) == "a[U+2713]\nb[U+0000]"
