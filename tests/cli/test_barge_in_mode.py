"""Where `walk` lets an answer come over a prompt."""

from __future__ import annotations

import pytest

from voicecheck.cli.barge_in_mode import BargeInMode
from voicecheck.cli.wiring import check_barge_in
from voicecheck.errors import UsageError


def test_a_loudspeaker_is_refused_with_what_to_do() -> None:
    """What is not shown to work is refused, and a headset is named."""
    with pytest.raises(UsageError, match="--barge-in headset"):
        check_barge_in(BargeInMode.LOUDSPEAKER)


@pytest.mark.parametrize("mode", [BargeInMode.OFF, BargeInMode.HEADSET])
def test_off_and_headset_are_taken(mode: BargeInMode) -> None:
    """Nothing is said against them."""
    check_barge_in(mode)
    assert mode in ("off", "headset")
