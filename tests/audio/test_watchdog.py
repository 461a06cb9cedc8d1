"""Late, or gone?"""

from __future__ import annotations

import pytest

from voicecheck.audio.watchdog import START_GRACE_S, Watchdog
from voicecheck.clock import ManualClock


@pytest.mark.parametrize(
    ("block_s", "limit_s"), [(0.032, 1.0), (0.5, 1.5)], ids=["usual", "long blocks"]
)
def test_a_device_is_gone_after_three_blocks_and_a_second(
    block_s: float, limit_s: float
) -> None:
    """The limit is the longer of three blocks and one second."""
    clock = ManualClock()
    watchdog = Watchdog(clock, block_s)
    clock.advance(60)
    watchdog.called(clock.monotonic_s())

    clock.advance(limit_s)
    assert not watchdog.barks(0.0)
    clock.advance(0.01)
    assert watchdog.barks(0.0)


@pytest.mark.parametrize("called", [False, True])
def test_a_device_may_take_its_time_to_start(called: bool) -> None:
    """The first blocks may be later than the others."""
    clock = ManualClock()
    watchdog = Watchdog(clock, 0.032)
    if called:
        watchdog.called(clock.monotonic_s())

    clock.advance(START_GRACE_S)
    assert not watchdog.barks(0.0)
    clock.advance(0.01)
    assert watchdog.barks(0.0)


def test_a_computer_asleep_is_not_held_against_the_device() -> None:
    """An hour without blocks counts only from when somebody waits."""
    clock = ManualClock()
    watchdog = Watchdog(clock, 0.032)
    watchdog.called(clock.monotonic_s())
    clock.advance(3600)
    waiting_since_s = clock.monotonic_s()

    clock.advance(0.5)
    assert not watchdog.barks(waiting_since_s)
    clock.advance(0.6)
    assert watchdog.barks(waiting_since_s)
