"""What a part can look like: good, defect, not to be seen; or a start check."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.learn.situations.files import Facts
from voicecheck.learn.situations.schema import PartEntry
from voicecheck.learn.situations.sight import Sight
from voicecheck.learn.situations.slots import filled
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Good,
    No,
    Reason,
    Yes,
)
from voicecheck.round.checklist import Checkpoint, CheckpointKind

_LOOKED_AT = (CheckpointKind.CONDITION, CheckpointKind.FUNCTION)


def part_sights(
    known: Facts, name: str, part: PartEntry, checkpoint: Checkpoint
) -> Iterator[Sight]:
    """Yield what this part can look like at a checkpoint of its kind."""
    simple: tuple[tuple[str, dict[str, str], Answer], ...] = ()
    if checkpoint.kind is CheckpointKind.START:
        simple = (("yes", part.yes, Yes()), ("no", part.no, No()))
    elif checkpoint.kind in _LOOKED_AT:
        unseen = CouldNotCheck(reason=Reason.NO_ACCESS)
        simple = (("good", part.good, Good()), ("unseen", part.unseen, unseen))
    for group, entries, answer in simple:
        for key, entry in entries.items():
            for number, text in enumerate(filled(entry, known.amounts)):
                yield Sight(
                    kind=f"{name}/{group}/{key}",
                    number=number,
                    text=text,
                    answer=answer,
                    caution=part.caution,
                )
    if checkpoint.kind in _LOOKED_AT:
        yield from _defects(known, name, part)


def _defects(known: Facts, name: str, part: PartEntry) -> Iterator[Sight]:
    for key, defect in part.defects.items():
        texts = [text for one in defect.texts for text in filled(one, known.amounts)]
        for number, text in enumerate(texts):
            yield Sight(
                kind=f"{name}/{key}",
                number=number,
                text=text,
                answer=Defect(fault=defect.fault, severity=defect.severity),
                why=defect.why,
                caution=part.caution,
            )
