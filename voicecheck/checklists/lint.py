"""Lint a checklist file: everything that is wrong with it, not only the first."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from voicecheck.checklists import files
from voicecheck.checklists.check import check
from voicecheck.checklists.domain import Expanded, to_domain
from voicecheck.checklists.loader import expand
from voicecheck.checklists.plan import check_plan
from voicecheck.checklists.problems import Problem, ProblemSeverity, error
from voicecheck.checklists.schema import ChecklistFile, TranslationFile
from voicecheck.checklists.translation import check_translation
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import Checklist

FurtherCheck = Callable[[Checklist], Iterable[Problem]]
"""A check of the finished checklist from outside this package, for example
whether every engine knows the words that can be said."""


def lint(
    path: str | Path, further_checks: Iterable[FurtherCheck] = ()
) -> tuple[Problem, ...]:
    """Return every problem of a checklist file and of its translations.

    Args:
        path: a checklist file, or the name of a shipped one.
        further_checks: run on the checklist in each language when it has no errors.

    Raises:
        ChecklistError: the file cannot be read at all.
    """
    file_path = files.find(path)
    result = files.validate(files.read_toml(file_path), ChecklistFile)
    if isinstance(result, tuple):
        return result
    problems: list[Problem] = []
    if result.name != file_path.stem:
        problems.append(
            error("name", f"must be {file_path.stem!r}, the name of the file")
        )
    try:
        expanded = expand(file_path, result)
    except ChecklistError as problem:
        return (*problems, error("shared_rules", str(problem)))
    problems += check(expanded)
    problems += check_plan(file_path, result)
    if _has_errors(problems):
        return tuple(problems)
    further = tuple(further_checks)
    problems += _further(to_domain(expanded), further)
    for language in files.languages_of(file_path):
        problems += _lint_translation(expanded, file_path, language, further)
    return tuple(problems)


def _lint_translation(
    expanded: Expanded,
    path: Path,
    language: str,
    further: tuple[FurtherCheck, ...],
) -> list[Problem]:
    source = files.translation_path(path, language)
    try:
        result = files.validate(files.read_toml(source), TranslationFile)
    except ChecklistError as problem:
        return [error(source.name, str(problem))]
    if isinstance(result, tuple):
        return _in_file(source, result)
    found = check_translation(expanded, result, language)
    problems = _in_file(source, found)
    if not _has_errors(problems):
        problems += _in_file(source, _further(to_domain(expanded, result), further))
    return problems


def _further(
    checklist: Checklist, checks: tuple[FurtherCheck, ...]
) -> tuple[Problem, ...]:
    return tuple(problem for check_ in checks for problem in check_(checklist))


def _in_file(source: Path, problems: Iterable[Problem]) -> list[Problem]:
    return [
        Problem(severity=p.severity, place=f"{source.name}: {p.place}", text=p.text)
        for p in problems
    ]


def _has_errors(problems: Iterable[Problem]) -> bool:
    return any(p.severity is ProblemSeverity.ERROR for p in problems)
