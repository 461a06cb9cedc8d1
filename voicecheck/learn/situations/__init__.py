"""Short described situations, built from faults, places, fluids and amounts.

The facts are data (`en/*.toml`): parts of machines with what is good, what can
be wrong, and where which fluid can come out. `build` puts them together for one
checklist. What may be answered is checked by the round; whether the machine may
work is decided by the round.
"""

from voicecheck.learn.situations.build import build
from voicecheck.learn.situations.situation import Situation

__all__ = ["Situation", "build"]
