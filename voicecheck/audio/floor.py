"""Tell a muted microphone from one that is silent by nature.

A converter always adds a little noise, so digital zeros mean that something
cut the sound off: a mute switch, a lost radio link, a withheld permission. But
some devices give zeros whenever nobody speaks: headsets with a noise gate,
virtual devices. Zeros alone are therefore no fault. They become one only on a
device that has shown a floor of noise, by never once giving a block of zeros
for half a minute.
"""

from __future__ import annotations

__all__ = ["FAULT_S", "GATE_S", "LEARN_S", "FloorWatch"]

LEARN_S = 30.0
"""So long without one block of zeros, and the device has a floor of noise.
Our choice: longer than anybody talks without a pause, so that a noise gate
shows itself first."""
FAULT_S = 2.0
"""Zeros for this long are a fault on a device with a floor."""
GATE_S = 0.1
"""Zeros for this long that end by themselves show a noise gate. Shorter ones
may be a hiccup of the driver."""


class FloorWatch:
    """Watch the blocks of one microphone. Outlives closing and opening it."""

    def __init__(self) -> None:
        self._zeros_s = 0.0
        self._sound_s = 0.0
        self._begun = False
        self._gated = False
        self._has_floor = False

    @property
    def silent_s(self) -> float:
        """For how long the microphone has now given nothing but zeros."""
        return self._zeros_s

    @property
    def has_floor(self) -> bool:
        """True once the device has shown that it is never silent by itself."""
        return self._has_floor

    @property
    def fault(self) -> bool:
        """True while zeros come from a device that gives none by itself."""
        return self._has_floor and self._zeros_s > FAULT_S

    def opened(self) -> None:
        """Say that the stream starts anew: zeros at its beginning are usual."""
        self._begun = False
        self._zeros_s = 0.0
        self._sound_s = 0.0

    def saw(self, seconds: float, *, zeros: bool) -> None:
        """Take note of one block.

        Args:
            seconds: how long the block is.
            zeros: whether every sample of it is exactly zero.
        """
        if zeros:
            self._zeros_s += seconds
            self._sound_s = 0.0
            return
        if self._begun and self._zeros_s >= GATE_S and not self._has_floor:
            self._gated = True
        self._begun = True
        self._zeros_s = 0.0
        self._sound_s += seconds
        if self._sound_s >= LEARN_S and not self._gated:
            self._has_floor = True
