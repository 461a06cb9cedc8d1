"""Hints for recall: where or what it is, its first word, at last the answer."""

from __future__ import annotations

from voicecheck.learn.names import forms, title
from voicecheck.learn.sessions.order import GIVEN_AWAY
from voicecheck.learn.sessions.texts import Texts
from voicecheck.round.checklist import Checklist, Place, Zone

__all__ = ["hint_text", "side"]

_MIDDLE = 0.1
"""As a share of the plan: closer to its middle is neither left nor right, neither
front nor rear (our choice)."""


def hint_text(
    checklist: Checklist, place_id: str, *, is_zone: bool, given: int, texts: Texts
) -> tuple[int, str]:
    """Return how many hints there are now, and the next one in words.

    Args:
        checklist: of the walk.
        place_id: of a zone, or of a checkpoint.
        is_zone: which of both.
        given: hints for this place so far.
        texts: of recall.
    """
    count = min(given + 1, GIVEN_AWAY)
    if is_zone:
        zone = checklist.zone(place_id)
        whole, spoken = zone.title, forms(zone.title, checklist.language)
        first = texts.say("hint_side", side=texts.word("side", side(zone)))
        second = ""
    else:
        point = checklist.checkpoint(place_id)
        around = checklist.zone(point.zone_id).title
        whole = title(point.prompt)
        spoken = forms(point.prompt, checklist.language, around)
        first = texts.say("hint_kind", kind=texts.word("kind", point.kind))
        second = texts.say("hint_wrong", wrong=point.wrong)
    if count == 1:
        told = is_zone and any(form in first for form in spoken)  # "the rear"
        return GIVEN_AWAY if told else count, first
    shortest = min(spoken, key=lambda form: len(form.split()), default=whole)
    word, *rest = shortest.split() or [whole]
    if count == 2 and rest:
        return count, texts.say("hint_word", word=word)
    if count == 2 and second:  # the first word would be the answer
        return count, second
    return GIVEN_AWAY, texts.say("hint_answer", place=whole)


def side(zone: Zone) -> str:
    """Return where a zone lies: up on the machine, or on which side of the plan."""
    if zone.place is not Place.GROUND:
        return "up"
    across, along = zone.plan_x - 0.5, zone.plan_y - 0.5
    if abs(across) > _MIDDLE:
        return "left" if across < 0 else "right"
    if abs(along) > _MIDDLE:
        return "front" if along < 0 else "rear"
    return "middle"
