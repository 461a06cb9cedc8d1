"""The queue between the sound thread and the program."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.inbox import Captured, Inbox


@given(room=st.integers(1, 20), count=st.integers(0, 60))
def test_the_newest_blocks_stay_and_the_rest_is_counted(room: int, count: int) -> None:
    """No block is lost unseen: kept and dropped ones add up."""
    inbox = Inbox(room)
    blank = np.zeros((1, 1), dtype=np.float32)
    for number in range(count):
        inbox.put(Captured(blank, False, float(number)))

    kept = []
    while (block := inbox.take(0)) is not None:
        kept.append(block.at_s)

    assert kept == [float(n) for n in range(max(0, count - room), count)]
    assert inbox.dropped == count - len(kept)
