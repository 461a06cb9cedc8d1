"""Put situations together for a checklist; what does not fit is left out."""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase
from functools import cache

from voicecheck.errors import LearnError
from voicecheck.learn.situations.expect import decision_of, expected_call
from voicecheck.learn.situations.files import Facts, facts
from voicecheck.learn.situations.gauges import gauge_sights
from voicecheck.learn.situations.leaks import leak_sights
from voicecheck.learn.situations.parts import part_sights
from voicecheck.learn.situations.sight import Sight
from voicecheck.learn.situations.situation import Situation
from voicecheck.round.checklist import Checklist, Checkpoint


def build(checklist: Checklist, language: str | None = None) -> tuple[Situation, ...]:
    """Return every situation of a checklist, in walking order.

    Args:
        checklist: of which machine.
        language: of the texts; None: that of the checklist.

    Raises:
        LearnError: nothing is written in this language, or nothing fits this
            checklist.
    """
    made = _build(checklist, language or checklist.language)
    if not made:
        raise LearnError(
            f"no situation fits the checklist {checklist.name!r}; "
            "add its parts to learn/situations, or practise its order instead"
        )
    return made


@cache
def _build(checklist: Checklist, language: str) -> tuple[Situation, ...]:
    known = facts(language)
    return tuple(
        _situation(checklist, checkpoint, sight)
        for checkpoint in checklist.checkpoints
        for sight in _sights(known, checklist, checkpoint)
    )


def _sights(
    known: Facts, checklist: Checklist, checkpoint: Checkpoint
) -> Iterator[Sight]:
    for name, part in known.parts.items():
        if any(fnmatchcase(checkpoint.id, pattern) for pattern in part.points):
            yield from part_sights(known, name, part, checkpoint)
            yield from leak_sights(known, part, checklist, checkpoint)
    yield from gauge_sights(known, checklist, checkpoint)


def _situation(checklist: Checklist, checkpoint: Checkpoint, sight: Sight) -> Situation:
    answers = ((checkpoint.id, sight.answer), *sight.known_levels)
    decision = decision_of(checklist, dict(answers))
    expected = expected_call(checkpoint, sight.answer, decision)
    return Situation(
        id=f"{sight.kind}/{sight.number}@{checkpoint.id}",
        kind=sight.kind,
        checkpoint_id=checkpoint.id,
        text=sight.text,
        answers=answers,
        expected=expected,
        decision=decision,
        why=sight.why,
        caution="" if expected.opened.all_well else sight.caution,
    )
