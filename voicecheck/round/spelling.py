"""A number that is said one digit at a time: what may follow, and when it is whole.

The signs said so far are kept as text, "4527.3", so that a leading zero and a
point that waits for its digits are not lost.
"""

from __future__ import annotations

from decimal import Decimal

from voicecheck.round.checklist import Checkpoint
from voicecheck.round.probing import Question, QuestionName, first_question

POINT, FINISHED = "point", "finished"
"""Meanings of the grammar `digit` besides the digits."""
DIGITS = tuple("0123456789")


def with_sign(spelled: str, meaning: str) -> str:
    """Return the number with one more digit or its point."""
    return spelled + ("." if meaning == POINT else meaning)


def signs_after(checkpoint: Checkpoint, spelled: str) -> tuple[str, ...]:
    """Return what may follow the signs said so far: digits, point, finished.

    A digit that would lead beyond the plausible range, or beyond the digits
    that are read at the point, cannot follow.
    """
    spec = checkpoint.reading
    if spec is None:
        return ()
    whole, point, after = spelled.partition(".")
    if point:
        more = len(after) < spec.decimals
    else:
        more = not whole or Decimal(whole + "0") <= spec.plausible_max
    may_point = bool(whole) and not point and spec.decimals > 0
    return (
        *(DIGITS if more else ()),
        *((POINT,) if may_point else ()),
        *((FINISHED,) if is_number(spelled) else ()),
    )


def is_number(spelled: str) -> bool:
    """Tell whether the signs are a number as they stand."""
    return bool(spelled) and spelled[-1] != "."


def is_whole(checkpoint: Checkpoint, spelled: str) -> bool:
    """Tell whether nothing more can follow, so that nobody need say so."""
    return signs_after(checkpoint, spelled) == (FINISHED,)


def digit_question(checkpoint: Checkpoint, spelled: str) -> Question:
    """Return the question for the next digit of a reading."""
    others = first_question(checkpoint).meanings or ()
    return Question(
        name=QuestionName.DIGIT,
        checkpoint_id=checkpoint.id,
        meanings=(
            *signs_after(checkpoint, spelled),
            *(meaning for meaning in others if meaning != QuestionName.NUMBER),
        ),
    )
