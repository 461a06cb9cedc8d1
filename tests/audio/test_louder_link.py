"""Turning prompts up in noise, within the safe level."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.louder_link import LOUDER_DB, LouderLink
from voicecheck.audio.ports import Sound
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.hearing.measure import Calibration, prompt_octaves

RATE_HZ = 22_050
TONE = Sound(
    (0.05 * np.sin(2 * np.pi * 1000 * np.arange(RATE_HZ) / RATE_HZ)).astype(np.float32),
    RATE_HZ,
)


def level(sound: Sound) -> float:
    """A-weighted level re full scale."""
    return prompt_octaves(sound.frames, RATE_HZ, Calibration(0.0)).a_level_dba


@pytest.mark.parametrize(
    ("loud", "room_db", "change_db"),
    [(False, 20.0, 0.0), (True, 20.0, LOUDER_DB), (True, 2.0, 2.0), (True, -3.0, 0.0)],
)
def test_no_sound_is_turned_up_past_the_cap(
    loud: bool, room_db: float, change_db: float
) -> None:
    """Up to the cap of the sound check, and only in noise."""
    link = LouderLink(SimulatedLink(np.zeros), level(TONE) + room_db)
    link.loud = loud

    assert level(link.altered(TONE)) - level(TONE) == pytest.approx(change_db, abs=0.1)


def test_without_a_sound_check_nothing_is_turned_up() -> None:
    """Where the safe level is not known, prompts stay as they are."""
    link = LouderLink(SimulatedLink(np.zeros), None)
    link.loud = True

    assert link.altered(TONE) is TONE
