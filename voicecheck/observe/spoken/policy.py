"""Which of the heard words are taken.

A mark decides about a person, and nobody is asked back: the assessor watches, and
says the word again. So what is not sure is refused with a tone, and nothing is
recorded. The dangerous mistake is a point marked as looked at that was not:
"looked" needs more, and yields when one of the worse marks may have been said.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.speech.ports import Hypothesis

LEAST = 0.75
"""Probability of the meaning below which it is said again."""
LEAST_LOOKED = 0.85
MOST_WORSE = 0.1
"""Probability of worse marks beside "looked" from which it is said again. All
three are ours; `voicecheck bench marks` shows what they cost."""

_LOOKED = "looked"
_WORSE = frozenset({"glanced", "missed", "out_of_order", "unsafe", "called"})


def taken(hypotheses: Sequence[Hypothesis]) -> str | None:
    """Return the meaning that is taken, or None when the word is to be said again.

    Args:
        hypotheses: the likeliest first; empty: nothing like a word of ours.
    """
    by_meaning: dict[str, float] = {}
    for each in hypotheses:
        by_meaning[each.meaning] = by_meaning.get(each.meaning, 0.0) + each.confidence
    if not by_meaning:
        return None
    best = max(by_meaning, key=lambda meaning: by_meaning[meaning])
    if by_meaning[best] < (LEAST_LOOKED if best == _LOOKED else LEAST):
        return None
    worse = sum(p for meaning, p in by_meaning.items() if meaning in _WORSE)
    if best == _LOOKED and worse > MOST_WORSE:
        return None
    return best
