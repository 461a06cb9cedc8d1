"""What a voice would stumble over is found, plain words are left alone."""

from __future__ import annotations

import pytest

from voicecheck.checklists.speakable import spoken_s, unspeakable


@pytest.mark.parametrize(
    ("text", "bad"),
    [
        ("Left front sidewalls, in and out?", ()),
        ("Never open it hot. Read the glass.", ()),
        ("Machine's manual first: always.", ()),
        ("Say yes or no.", ()),
        ("Pressure in kPa?", ("kPa?",)),
        ("ROPS bolts?", ("ROPS",)),
        ("Approx. level?", ("Approx.",)),
        ("80 percent", ("80",)),
        ("Hoses/wires?", ("Hoses/wires?",)),
        ("Oil (engine)?", ("(engine)?",)),
        ("Wheel nuts & studs?", ("&",)),
        ("Brk pdl?", ("Brk", "pdl?")),
    ],
)
def test_english(text: str, bad: tuple[str, ...]) -> None:
    """Digits, symbols and abbreviations are found in English."""
    assert unspeakable(text, "en") == bad


@pytest.mark.parametrize(
    ("text", "bad"),
    [
        ("왼쪽 앞 타이어 압력은?", ()),
        ("압력 kPa?", ("kPa?",)),
        ("3개", ("3개",)),
        ("ㄱ 부분?", ("ㄱ",)),
    ],
)
def test_korean(text: str, bad: tuple[str, ...]) -> None:
    """Latin letters, digits and single jamo are found in Korean."""
    assert unspeakable(text, "ko") == bad


def test_other_languages() -> None:
    """Elsewhere any letter is plain; digits and symbols are found."""
    assert unspeakable("Ölstand prüfen?", "de") == ()
    assert unspeakable("Öl 3 % tief?", "de") == ("3", "%")


def test_durations() -> None:
    """Fifteen letters or six syllables a second: common practice, no source."""
    assert spoken_s("a" * 30, "en") == pytest.approx(2.0)
    assert spoken_s("왼쪽 앞 타이어?", "ko") == pytest.approx(1.0)
