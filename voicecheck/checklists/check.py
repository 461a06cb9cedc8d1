"""All checks of an expanded checklist, in the order of its file."""

from __future__ import annotations

from voicecheck.checklists.check_points import check_points
from voicecheck.checklists.check_rules import check_rules
from voicecheck.checklists.check_texts import check_texts
from voicecheck.checklists.check_way import check_way
from voicecheck.checklists.domain import Expanded
from voicecheck.checklists.problems import Problem


def check(expanded: Expanded) -> tuple[Problem, ...]:
    """Return every problem of a checklist, errors and warnings."""
    return (
        *check_points(expanded.file),
        *check_way(expanded.file.zones),
        *check_texts(expanded),
        *check_rules(expanded),
    )
