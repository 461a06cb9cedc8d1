"""The values of `walk --barge-in`; light to import, for the help."""

from __future__ import annotations

from enum import StrEnum


class BargeInMode(StrEnum):
    """Where an answer may come over a prompt."""

    OFF = "off"
    HEADSET = "headset"
    LOUDSPEAKER = "loudspeaker"
