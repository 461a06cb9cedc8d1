"""Checklists as data files: read, checked, translated, hashed.

`load` gives the `voicecheck.round.checklist.Checklist` of a name or a path,
`available` names those that come with voicecheck, `lint` says what is wrong
with a file. The format is published as JSON Schema beside this file.
"""

from voicecheck.checklists.coverage import UnfitAnswer, unfit_answers
from voicecheck.checklists.lint import lint
from voicecheck.checklists.loader import AvailableChecklist, available, load
from voicecheck.checklists.problems import Problem, ProblemSeverity

__all__ = [
    "AvailableChecklist",
    "Problem",
    "ProblemSeverity",
    "UnfitAnswer",
    "available",
    "lint",
    "load",
    "unfit_answers",
]
