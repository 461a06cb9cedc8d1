"""Limits of readings, ranks, and looking things up."""

from __future__ import annotations

from decimal import Decimal

import pytest

from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Outcome, ReadingSpec, ReadingState
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()
TYRE = CHECKLIST.checkpoint("left_tyre").reading
OPEN = ReadingSpec(
    quantity="length",
    unit="mm",
    plausible_min=Decimal(0),
    plausible_max=Decimal(50),
)


@pytest.mark.parametrize(
    ("value", "state"),
    [
        ("299", ReadingState.FAR_LOW),
        ("300", ReadingState.LOW),
        ("399", ReadingState.LOW),
        ("400", ReadingState.IN_LIMITS),
        ("550", ReadingState.IN_LIMITS),
        ("551", ReadingState.HIGH),
        ("650", ReadingState.HIGH),
        ("651", ReadingState.FAR_HIGH),
    ],
)
def test_a_value_on_a_limit_is_within_it(value: str, state: ReadingState) -> None:
    """Limits are 300, 400, 550 and 650 kPa: the worse state begins beyond each."""
    assert TYRE is not None
    assert TYRE.state(Decimal(value)) is state


@pytest.mark.parametrize("value", ["0", "50"])
def test_without_limits_every_value_is_within_them(value: str) -> None:
    """Limits may be absent one by one."""
    assert OPEN.state(Decimal(value)) is ReadingState.IN_LIMITS


@pytest.mark.parametrize(
    ("value", "plausible"),
    [("0", True), ("50", True), ("-0.1", False), ("50.1", False), ("NaN", False)],
)
def test_what_can_be_believed(value: str, plausible: bool) -> None:
    """The ends of the range belong to it; what is no number does not."""
    assert OPEN.is_plausible(Decimal(value)) is plausible


@pytest.mark.parametrize(
    ("value", "shown"), [("4", True), ("4.5", True), ("4.50", True), ("4.55", False)]
)
def test_digits_that_the_gauge_shows(value: str, shown: bool) -> None:
    """One digit after the point unless told otherwise."""
    assert OPEN.shows(Decimal(value)) is shown


def test_ranks_rise_with_the_danger() -> None:
    """Minor to critical, class I to III, may work to out of service."""
    assert [s.rank for s in Severity] == [0, 1, 2]
    assert [c.rank for c in LeakClass] == [0, 1, 2]
    assert [o.rank for o in Outcome] == [0, 1, 2]
    assert Outcome.OUT_OF_SERVICE.rank == 2
    assert LeakClass.THREE.value == "III"


def test_things_are_found_by_their_ids() -> None:
    """Checkpoints, zones and fluids."""
    assert CHECKLIST.checkpoint("horn").zone_id == "cab"
    assert CHECKLIST.zone("engine").title == "engine"
    assert CHECKLIST.fluid("fuel").unit == "L"


@pytest.mark.parametrize("look_up", ["checkpoint", "zone", "fluid"])
def test_an_unknown_id_is_a_key_error(look_up: str) -> None:
    """The error names the id."""
    with pytest.raises(KeyError, match="nowhere"):
        getattr(CHECKLIST, look_up)("nowhere")
