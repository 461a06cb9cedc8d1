"""May the machine work today? The worst rule that applies decides.

The outcome is the maximum over all rules that match, so that one more rule,
one more defect or a higher severity can only tighten it. A rule that names
levels does not know that empty is worse than low: it has to name both.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    NotFitted,
    ReadingTaken,
    Severity,
    Yes,
)
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    Outcome,
    ReadingState,
    Rule,
)


class FindingKind(StrEnum):
    """What a finding is about."""

    START_CHECK = "start_check"
    DEFECT = "defect"
    LEAK = "leak"
    LEVEL = "level"
    READING = "reading"
    NOT_CHECKED = "not_checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleHit:
    """A rule that applies, and where."""

    rule_id: str
    checkpoint_id: str | None
    outcome: Outcome
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is not as it should be."""

    checkpoint_id: str
    zone_id: str
    kind: FindingKind
    answer: Answer
    severity: Severity
    """As said, or for leaks, levels and readings worked out here."""
    outcome: Outcome
    rules: tuple[RuleHit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """The outcome with every rule behind it, the worst first."""

    outcome: Outcome
    reasons: tuple[RuleHit, ...]


NOT_FINISHED = RuleHit(
    rule_id="walk_not_finished",
    checkpoint_id=None,
    outcome=Outcome.OUT_OF_SERVICE,
    text="The walk was not finished and signed, so the machine is not released.",
    source="30 CFR 56.14100(a): examined before it is placed in operation",
)

_DEFAULT = RuleHit(
    rule_id="any_finding",
    checkpoint_id=None,
    outcome=Outcome.MAY_WORK_WITH_DEFECTS,
    text="A finding is reported and put right before it becomes a hazard.",
    source="30 CFR 56.14100(b)",
)


def answer_name(answer: Answer) -> str:
    """Return the name of an answer as rules and records use it."""
    names: dict[type, str] = {
        Yes: "yes",
        No: "no",
        Good: "good",
        Defect: "defect",
        Leak: "leak",
        NotFitted: "not_fitted",
        CouldNotCheck: "could_not_check",
        LevelSeen: "level",
        ReadingTaken: "reading",
    }
    return names[type(answer)]


def finding_kind(checkpoint: Checkpoint, answer: Answer) -> FindingKind | None:
    """Return what kind of finding an answer is, or None when all is well."""
    match answer:
        case No():
            return FindingKind.START_CHECK
        case Defect():
            return FindingKind.DEFECT
        case Leak():
            return FindingKind.LEAK
        case CouldNotCheck():
            return FindingKind.NOT_CHECKED
        case LevelSeen() if answer.level in (Level.LOW, Level.EMPTY):
            return FindingKind.LEVEL
        case ReadingTaken() if _state(checkpoint, answer) is not ReadingState.IN_LIMITS:
            return FindingKind.READING
    return None


def findings(
    checklist: Checklist, answers: Mapping[str, Answer]
) -> tuple[Finding, ...]:
    """Return every finding in walking order, each with the rules that apply.

    A finding that no rule makes a defect still counts as one: no rule can say
    that a finding is none.
    """
    levels = _fluid_levels(checklist, answers)
    found: list[Finding] = []
    for checkpoint in checklist.checkpoints:
        answer = answers.get(checkpoint.id)
        if answer is None:
            continue
        kind = finding_kind(checkpoint, answer)
        if kind is None:
            continue
        hits = tuple(
            _hit(rule, checkpoint)
            for rule in checklist.rules
            if applies(rule, checkpoint, answer, levels)
        )
        if not any(hit.outcome.rank >= _DEFAULT.outcome.rank for hit in hits):
            hits = (*hits, replace(_DEFAULT, checkpoint_id=checkpoint.id))
        outcome = _worst(hits)
        found.append(
            Finding(
                checkpoint_id=checkpoint.id,
                zone_id=checkpoint.zone_id,
                kind=kind,
                answer=answer,
                severity=_severity(answer, outcome),
                outcome=outcome,
                rules=hits,
            )
        )
    return tuple(found)


def decide(
    checklist: Checklist, answers: Mapping[str, Answer], *, finished: bool
) -> Decision:
    """Decide by the worst rule that applies; an unfinished walk never releases."""
    reasons: list[RuleHit] = [] if finished else [NOT_FINISHED]
    for finding in findings(checklist, answers):
        reasons.extend(finding.rules)
    reasons.sort(key=lambda hit: -hit.outcome.rank)
    return Decision(outcome=_worst(reasons), reasons=tuple(reasons))


def applies(
    rule: Rule, checkpoint: Checkpoint, answer: Answer, levels: Mapping[str, Level]
) -> bool:
    """Tell whether a rule matches one answer at one checkpoint.

    Args:
        rule: every condition that it gives must hold.
        checkpoint: where the answer was given.
        answer: the answer.
        levels: the level seen of each fluid; a fluid not in it is unknown.
    """
    return (
        _is_among(answer_name(answer), rule.answers)
        and _is_among(checkpoint.id, rule.checkpoints)
        and (not rule.tags or bool(set(rule.tags) & set(checkpoint.tags)))
        and _severity_holds(rule, answer)
        and _leak_holds(rule, answer, levels)
        and _value_holds(rule, checkpoint, answer)
    )


def _is_among(value: str, wanted: tuple[str, ...]) -> bool:
    return not wanted or value in wanted


def _severity_holds(rule: Rule, answer: Answer) -> bool:
    if rule.severity_at_least is None:
        return True
    if not isinstance(answer, Defect):
        return False
    return answer.severity.rank >= rule.severity_at_least.rank


def _leak_holds(rule: Rule, answer: Answer, levels: Mapping[str, Level]) -> bool:
    asks = rule.leak_class_at_least or rule.fluids or rule.fluid_level_in
    if not asks:
        return True
    if not isinstance(answer, Leak):
        return False
    if rule.fluids and answer.fluid not in rule.fluids:
        return False
    least = rule.leak_class_at_least
    if least is not None and answer.leak_class.rank < least.rank:
        return False
    level = levels.get(answer.fluid)
    name = "unknown" if level is None else level.value
    return _is_among(name, rule.fluid_level_in)


def _value_holds(rule: Rule, checkpoint: Checkpoint, answer: Answer) -> bool:
    if rule.levels and not (
        isinstance(answer, LevelSeen) and answer.level in rule.levels
    ):
        return False
    if not rule.reading_states:
        return True
    if not isinstance(answer, ReadingTaken):
        return False
    return _state(checkpoint, answer) in rule.reading_states


def _state(checkpoint: Checkpoint, answer: ReadingTaken) -> ReadingState:
    if checkpoint.reading is None:
        return ReadingState.IN_LIMITS
    return checkpoint.reading.state(answer.value)


def _fluid_levels(
    checklist: Checklist, answers: Mapping[str, Answer]
) -> dict[str, Level]:
    """Return the worst level seen of each fluid."""
    order = list(Level)
    levels: dict[str, Level] = {}
    for checkpoint in checklist.checkpoints:
        answer = answers.get(checkpoint.id)
        if checkpoint.level_of is None or not isinstance(answer, LevelSeen):
            continue
        seen = levels.get(checkpoint.level_of, answer.level)
        levels[checkpoint.level_of] = max(seen, answer.level, key=order.index)
    return levels


def _severity(answer: Answer, outcome: Outcome) -> Severity:
    if isinstance(answer, Defect):
        return answer.severity
    if outcome is Outcome.OUT_OF_SERVICE:
        return Severity.CRITICAL
    if isinstance(answer, Leak) and answer.leak_class is LeakClass.THREE:
        return Severity.MAJOR
    return Severity.MINOR


def _hit(rule: Rule, checkpoint: Checkpoint) -> RuleHit:
    return RuleHit(
        rule_id=rule.id,
        checkpoint_id=checkpoint.id,
        outcome=rule.outcome,
        text=rule.text,
        source=rule.source,
    )


def _worst(hits: Iterable[RuleHit]) -> Outcome:
    outcomes = (hit.outcome for hit in hits)
    return max(outcomes, key=lambda o: o.rank, default=Outcome.MAY_WORK)
