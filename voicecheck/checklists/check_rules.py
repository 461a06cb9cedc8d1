"""Rules must name things that exist, and no bad answer may go without a rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from voicecheck.checklists.coverage import UnfitAnswer, unfit_answers
from voicecheck.checklists.domain import Expanded, to_domain
from voicecheck.checklists.problems import Problem, error
from voicecheck.checklists.schema import RuleEntry
from voicecheck.checklists.tags import NEED_OUT_OF_SERVICE
from voicecheck.round.answers import CouldNotCheck, Defect
from voicecheck.round.checklist import Checklist, Checkpoint, Outcome
from voicecheck.round.decision import answer_name


def check_rules(expanded: Expanded) -> tuple[Problem, ...]:
    """Return what is wrong with the rules of a checklist."""
    checklist = to_domain(expanded)
    return (
        *_doubles(expanded.rules),
        *_names(expanded),
        *(p for point in checklist.checkpoints for p in _outcomes(checklist, point)),
    )


def _doubles(rules: tuple[RuleEntry, ...]) -> Iterator[Problem]:
    for key, count in Counter(rule.id for rule in rules).items():
        if count > 1:
            yield error(f"rule {key}", f"the id is used {count} times; give new ids")


def _names(expanded: Expanded) -> Iterator[Problem]:
    """Only a checklist's own rules must name tags that this machine has."""
    points = [point for zone in expanded.file.zones for point in zone.checkpoints]
    points_known = {point.id for point in points}
    fluids_known = {fluid.id for fluid in expanded.file.fluids}
    tags_known = {tag for point in points for tag in point.tags}
    for rule in expanded.rules:
        yield from _unknown(rule, "checkpoint", rule.checkpoints, points_known)
    for rule in (*expanded.file.rules, *expanded.site_rules):
        yield from _unknown(rule, "fluid", rule.fluids, fluids_known)
    for rule in expanded.file.rules:
        yield from _unknown(rule, "tag", rule.tags, tags_known)


def _unknown(
    rule: RuleEntry, what: str, names: Iterable[str], known: Collection[str]
) -> Iterator[Problem]:
    for name in names:
        if name not in known:
            yield error(
                f"rule {rule.id}",
                f"names the {what} {str(name)!r}, which is not in the checklist; "
                "correct it, or the rule never applies",
            )


def _outcomes(checklist: Checklist, point: Checkpoint) -> Iterator[Problem]:
    found = unfit_answers(checklist, point)
    place = f"checkpoint {point.id}"
    for name in sorted({answer_name(item.answer) for item in found if _is_bare(item)}):
        yield error(
            place,
            f"no rule says what follows from the answer {name!r}; add one, or name "
            "a shared rules file",
        )
    if not _can_be_stopped(found):
        for tag in sorted(set(NEED_OUT_OF_SERVICE) & set(point.tags)):
            yield error(
                place,
                f"has the tag {tag}, but no rule puts the machine out of service "
                "for it; add one",
            )


def _is_bare(found: UnfitAnswer) -> bool:
    return found.outcome is Outcome.MAY_WORK


def _can_be_stopped(found: Iterable[UnfitAnswer]) -> bool:
    """A critical defect must stop the machine; where there is none, some answer."""
    told = [item for item in found if not isinstance(item.answer, CouldNotCheck)]
    defects = [item for item in told if isinstance(item.answer, Defect)]
    return any(item.outcome is Outcome.OUT_OF_SERVICE for item in defects or told)
