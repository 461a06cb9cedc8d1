"""The exit status of a walk: may the machine work?"""

from __future__ import annotations

from voicecheck.round.checklist import Outcome
from voicecheck.round.walk import Phase, Walk


def walk_status(walk: Walk) -> int:
    """Return 0 when the walk releases the machine, else 1."""
    released = walk.decision.outcome is not Outcome.OUT_OF_SERVICE
    return 0 if walk.phase is Phase.SIGNED and released else 1
