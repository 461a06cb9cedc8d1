"""Check that a learner can name every zone and point of a checklist."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.checklists.problems import Problem, error, warning
from voicecheck.errors import GrammarError
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.round.checklist import Checklist

__all__ = ["ALIKE", "places_can_be_said"]

ALIKE = 0.35
"""Least distance between the clearest names of two places: that of a walk's
dangerous words, see `speech.vocabulary.survey`."""


def places_can_be_said(checklist: Checklist) -> Iterator[Problem]:
    """Yield places that practice by voice cannot hear, or cannot tell apart.

    Phones are known for English only; checklists in other languages pass.
    """
    if checklist.language != "en":
        return
    names = PlaceNames(checklist)
    silent = names.silent()
    for place in silent:
        yield error(
            f"{place}, title",
            "a learner cannot name it: no form of its title consists of words in the "
            "dictionary; add the missing ones with their phones to "
            "grammars/en/pronunciations.dict, or say it otherwise",
        )
    if silent:
        return
    yield from _apart("zones", [zone.id for zone in checklist.zones], names)
    for zone in checklist.zones:
        points = [point.id for point in zone.checkpoints]
        yield from _apart(f"zone {zone.id}", points, names)


def _apart(place: str, ids: list[str], names: PlaceNames) -> Iterator[Problem]:
    try:
        pairs = names.closest(ids)
    except GrammarError as problem:
        yield error(place, str(problem))
        return
    for one, other, apart in pairs:
        if apart < ALIKE:
            yield warning(
                place,
                f"{one} and {other} sound alike whatever they are called "
                f"({apart:.2f} apart); give one of them a word of its own",
            )
