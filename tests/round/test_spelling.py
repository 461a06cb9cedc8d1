"""What may follow in a number that is said digit by digit."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.round.spelling import (
    DIGITS,
    FINISHED,
    POINT,
    digit_question,
    is_whole,
    signs_after,
    with_sign,
)
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()
METER, TYRE = (CHECKLIST.checkpoint(i) for i in ("hour_meter", "left_tyre"))
"""Hours with one digit after the point; kilopascals from 0 to 1000, whole."""


@pytest.mark.parametrize(
    ("spelled", "expected"),
    [
        ("", DIGITS),
        ("4", (*DIGITS, POINT, FINISHED)),
        ("4.", DIGITS),
        ("4.5", (FINISHED,)),
    ],
)
def test_the_hour_meter_takes_one_digit_after_the_point(
    spelled: str, expected: tuple[str, ...]
) -> None:
    """As its checklist says."""
    assert signs_after(METER, spelled) == expected


@given(st.text(alphabet="0123456789", min_size=1, max_size=8))
def test_every_plausible_number_can_be_spelled_to_its_end(digits: str) -> None:
    """No digit of a number within the range is refused on the way."""
    value = Decimal(digits)
    assert TYRE.reading is not None
    if not TYRE.reading.is_plausible(value) or str(value) != digits:
        return
    spelled = ""
    for sign in digits:
        assert sign in signs_after(TYRE, spelled)
        spelled = with_sign(spelled, sign)
    assert FINISHED in signs_after(TYRE, spelled)


def test_a_number_is_whole_when_nothing_can_follow() -> None:
    """450 of at most 1000 is; 100 is not, for 1000 may be meant."""
    assert is_whole(TYRE, "450")
    assert not is_whole(TYRE, "100")
    assert not is_whole(METER, "450")


def test_the_question_keeps_the_answers_that_are_no_numbers() -> None:
    """Cannot check stays possible; a number as a whole does not."""
    meanings = digit_question(TYRE, "").meanings or ()

    assert "could_not_check" in meanings
    assert "number" not in meanings


def test_a_point_without_a_reading_takes_no_signs() -> None:
    """There is no number to spell."""
    assert signs_after(CHECKLIST.checkpoint("left_wheel"), "") == ()
