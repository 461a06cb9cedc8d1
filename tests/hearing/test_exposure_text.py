"""Reading a part of the day from a few characters."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.day import sum_up_day
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.exposure_text import parse_exposure


@pytest.mark.parametrize(
    ("text", "hours", "level", "worn"),
    [
        ("2h@95", 2.0, 95.0, False),
        ("1.5h@88.5", 1.5, 88.5, False),
        ("90min@88", 1.5, 88.0, False),
        ("1h30@92:worn", 1.5, 92.0, True),
        ("1h30min@92", 1.5, 92.0, False),
        (" 2 h @ 95 dBA ", 2.0, 95.0, False),
        ("0h@95", 0.0, 95.0, False),
    ],
)
def test_forms(text: str, hours: float, level: float, worn: bool) -> None:
    """Hours, minutes or both; the level; whether the protector was worn."""
    part = parse_exposure(text)
    assert part.duration_h == pytest.approx(hours)
    assert part.level_dba == level
    assert part.protector_worn is worn


def test_a_day_so_entered_gives_the_published_dose() -> None:
    """2 h at 95, 4 h at 90, 2 h at 85 dBA: 112.5 %, by the formula of 29 CFR
    1910.95 Appendix A."""
    day = sum_up_day([parse_exposure(t) for t in ("2h@95", "4h@90", "2h@85")])
    assert day.osha_conservation.percent == pytest.approx(112.5)
    assert day.osha_conservation.average_dba == pytest.approx(90.85, abs=0.005)
    assert day.niosh.percent == pytest.approx(435.7, abs=0.05)


@pytest.mark.parametrize(
    "text",
    [
        "", "95", "@95", "2h", "2h@", "2@95", "two hours@95", "2h@95:off", "-2h@95",
        "2h@nan", "25h@80", "2h@500", "1e3h@90", "2h@95@90", "2h30h@90",
    ],
)  # fmt: skip
def test_other_forms_are_refused(text: str) -> None:
    """A bare number could be hours or minutes, so it is asked for again."""
    with pytest.raises(LevelError):
        parse_exposure(text)


@given(st.text(max_size=20))
def test_no_text_breaks_it(text: str) -> None:
    """Whatever is typed gives a part of the day or a sentence."""
    try:
        part = parse_exposure(text)
    except LevelError as error:
        assert "give" in str(error)
    else:
        assert 0 <= part.duration_h <= 24
