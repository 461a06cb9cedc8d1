"""Load a checklist by name or path, in a language, with the rules of the site."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from voicecheck.checklists import files
from voicecheck.checklists.check import check
from voicecheck.checklists.domain import Expanded, to_domain
from voicecheck.checklists.problems import Problem, ProblemSeverity
from voicecheck.checklists.schema import ChecklistFile, RuleEntry, TranslationFile
from voicecheck.checklists.translation import check_translation
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import Checklist, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class AvailableChecklist:
    """A checklist that comes with voicecheck."""

    name: str
    version: str
    title: str
    languages: tuple[str, ...]
    """The language of the file itself first, then its translations."""


def available() -> tuple[AvailableChecklist, ...]:
    """Return the checklists that come with voicecheck, by name.

    Raises:
        ChecklistError: one of them is damaged.
    """
    found: list[AvailableChecklist] = []
    for path in files.shipped_files():
        file = files.read_checklist(path)
        found.append(
            AvailableChecklist(
                name=file.name,
                version=file.version,
                title=file.title,
                languages=(file.language, *files.languages_of(path)),
            )
        )
    return tuple(found)


def load(
    name_or_path: str | Path,
    language: str = "en",
    site_rules: str | Path | None = None,
) -> Checklist:
    """Load a checklist and refuse it when anything in it is wrong.

    Args:
        name_or_path: name of a shipped checklist, or the path of a .toml file.
        language: ISO 639 code; the file's own or that of a translation beside it.
        site_rules: a rules file of the site. Its rules are added, so that the
            decision can only become stricter.

    Raises:
        ChecklistError: a file is missing, not in the format, or has a problem;
            the text names the file, the place and what was expected.
    """
    path = files.find(name_or_path)
    file = files.read_checklist(path)
    expanded = expand(path, file, site_rules)
    _refuse(path, check(expanded))
    words = _words(path, expanded, language)
    return to_domain(expanded, words)


def expand(
    path: Path, file: ChecklistFile, site_rules: str | Path | None = None
) -> Expanded:
    """Return a checklist file together with shared, own and site rules.

    Raises:
        ChecklistError: a rules file is missing or wrong, or a rule of the site
            would release the machine.
    """
    shared = tuple(
        rule
        for name in file.shared_rules
        for rule in files.read_rules(files.rules_path(path, name)).rules
    )
    site: tuple[RuleEntry, ...] = ()
    if site_rules is not None:
        taken = {rule.id for rule in (*shared, *file.rules)}
        site = _tightening(Path(site_rules), taken)
    return Expanded(file=file, shared_rules=shared, site_rules=site)


def _tightening(path: Path, taken: set[str]) -> tuple[RuleEntry, ...]:
    rules = files.read_rules(path).rules
    for rule in rules:
        if rule.outcome is Outcome.MAY_WORK:
            raise ChecklistError(
                f"{path}: rule {rule.id}: a site can only tighten the rules, so "
                'outcome must be "may_work_with_defects" or "out_of_service"'
            )
        if rule.id in taken:
            raise ChecklistError(
                f"{path}: rule {rule.id}: this id is taken; a site adds rules and "
                "replaces none, so give it an id of its own"
            )
    return rules


def _words(path: Path, expanded: Expanded, language: str) -> TranslationFile | None:
    file = expanded.file
    if language == file.language:
        return None
    source = files.translation_path(path, language)
    if not source.is_file():
        there = ", ".join((file.language, *files.languages_of(path)))
        raise ChecklistError(
            f"{path}: not translated into {language!r}: choose one of {there}, "
            f"or add {source.name}"
        )
    words = files.read_translation(source)
    _refuse(source, check_translation(expanded, words, language))
    return words


def _refuse(path: Path, problems: tuple[Problem, ...]) -> None:
    wrong = tuple(p for p in problems if p.severity is ProblemSeverity.ERROR)
    if wrong:
        raise files.refused(path, wrong)
