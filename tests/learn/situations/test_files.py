"""The files of situations are strict, and each point has one kind of part."""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest
from pydantic import ValidationError

from voicecheck.errors import LearnError
from voicecheck.learn.situations.files import facts, languages
from voicecheck.learn.situations.schema import PartEntry
from voicecheck.learn.situations.slots import filled
from voicecheck.round.checklist import Checklist


@pytest.mark.parametrize("language", languages())
def test_every_text_can_be_filled(language: str) -> None:
    """No slot of any part lacks its amounts, used by a checklist or not."""
    known = facts(language)
    for part in known.parts.values():
        texts = [*part.yes.values(), *part.no.values()]
        texts += [*part.good.values(), *part.unseen.values()]
        texts += [text for one in part.defects.values() for text in one.texts]
        assert texts
        for text in texts:
            assert filled(text, known.amounts)


def test_every_part_is_somewhere_and_no_point_is_two_parts(
    checklist: Checklist,
) -> None:
    """Two kinds of part at one point would describe what is not there."""
    parts = facts("en").parts
    for point in checklist.checkpoints:
        fitting = [
            name
            for name, part in parts.items()
            if any(fnmatchcase(point.id, pattern) for pattern in part.points)
        ]
        assert len(fitting) <= 1, (point.id, fitting)


def test_a_misspelt_key_is_refused() -> None:
    """It would silently drop what it says."""
    with pytest.raises(ValidationError, match="defect"):
        PartEntry.model_validate({"points": ["boom"], "defect": {}})


def test_a_language_that_is_not_written_is_named() -> None:
    """The error says which there are."""
    with pytest.raises(LearnError, match="choose en or ko"):
        facts("xx")
