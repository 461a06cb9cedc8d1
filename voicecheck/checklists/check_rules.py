"""Rules must name things that exist, and no bad answer may go without a rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from voicecheck.checklists.coverage import UnfitAnswer, unfit_answers
from voicecheck.checklists.domain import Expanded, to_domain
from voicecheck.checklists.problems import Problem, error
from voicecheck.checklists.schema import RuleEntry
from voicecheck.checklists.tags import NEED_OUT_OF_SERVICE
from voicecheck.round.checklist import Checklist, Checkpoint, Outcome
from voicecheck.round.decision import answer_name


def check_rules(expanded: Expanded) -> tuple[Problem, ...]:
    """Return what is wrong with the rules of a checklist."""
    checklist = to_domain(expanded)
    return (
        *_doubles(expanded.rules),
        *_names(expanded),
        *_needed(checklist),
        *(p for point in checklist.checkpoints for p in _covered(checklist, point)),
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


def _needed(checklist: Checklist) -> Iterator[Problem]:
    for tag in NEED_OUT_OF_SERVICE:
        points = [p for p in checklist.checkpoints if tag in p.tags]
        unsafe = [p for p in points if not _can_be_stopped(checklist, p)]
        for point in unsafe:
            yield error(
                f"checkpoint {point.id}",
                f"has the tag {tag}, but no rule puts the machine out of service "
                "for it; add one",
            )


def _can_be_stopped(checklist: Checklist, point: Checkpoint) -> bool:
    return any(
        found.outcome is Outcome.OUT_OF_SERVICE
        for found in unfit_answers(checklist, point)
        if answer_name(found.answer) != "could_not_check"
    )


def _covered(checklist: Checklist, point: Checkpoint) -> Iterator[Problem]:
    bare = {
        answer_name(found.answer)
        for found in unfit_answers(checklist, point)
        if _is_bare(found)
    }
    for name in sorted(bare):
        yield error(
            f"checkpoint {point.id}",
            f"no rule says what follows from the answer {name!r}; add one, or name "
            "a shared rules file",
        )


def _is_bare(found: UnfitAnswer) -> bool:
    return not found.rule_ids or found.outcome is Outcome.MAY_WORK
