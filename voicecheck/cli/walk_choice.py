"""Begin a new walk, or go on with the one that was left?"""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.errors import UsageError
from voicecheck.store.ports import Journal, WalkRow
from voicecheck.store.session import unfinished_walk

__all__ = ["goes_on"]


def goes_on(
    journal: Journal,
    unit: str,
    *,
    resume: bool,
    new: bool,
    ask: Callable[[str], bool] | None,
) -> bool:
    """Tell whether the walk that was left is taken up again.

    Args:
        journal: holds the walks.
        unit: the machine.
        resume: the user asked to go on.
        new: the user asked for a new walk.
        ask: puts a question to the user; None without a terminal.

    Raises:
        UsageError: both were asked for; or neither, a walk was left, and nobody
            can be asked.
    """
    if resume and new:
        raise UsageError("give --resume or --new, not both")
    left = None if resume or new else unfinished_walk(journal, unit)
    if left is None:
        return resume
    if ask is not None:
        return ask(f"{_named(left)} Go on with it?")
    raise UsageError(
        f"{_named(left)} Say --resume to go on with it, or --new to begin another; "
        "the unfinished one is kept."
    )


def _named(left: WalkRow) -> str:
    return f"{left.unit} has an unfinished walk, begun {left.started_utc}."
