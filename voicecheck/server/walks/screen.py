"""What the page of a walk shows at this moment."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.form.entry import Choice
from voicecheck.form.pages import Pages
from voicecheck.form.waiting import Waiting
from voicecheck.round.checklist import Checkpoint, CheckpointKind, ReadingSpec
from voicecheck.round.probing import QuestionName, next_question
from voicecheck.round.walk import AskCheckpoint, Climb, Walk
from voicecheck.server.walks.sitting import Message, Sitting


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneProgress:
    """One zone on the way round."""

    title: str
    points: int
    answered: int
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingLine:
    """A finding in the summary."""

    zone: str
    point: str
    answer: str
    outcome: str
    """Its name: what this finding alone would decide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """All findings and the decision, before the declaration."""

    findings: tuple[FindingLine, ...]
    outcome: str
    """Its name."""
    outcome_text: str
    reasons: tuple[tuple[str, str], ...]
    """Text and source of each rule behind the decision."""
    first: str
    declaration: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """One page of a walk."""

    waiting: str
    """What is waited for, a value of `Waiting`."""
    step: str
    unit: str
    operator: str
    message: Message | None
    zones: tuple[ZoneProgress, ...]
    zone: str
    """Title of the zone at hand; empty in the summary."""
    returning: bool
    answered: int
    points: int
    question: str
    """What is asked now."""
    point: Checkpoint | None
    parts: tuple[str, ...]
    """What was answered at this point already, in words."""
    choices: tuple[Choice, ...]
    reading: ReadingSpec | None
    take_back: str
    """What "take back" takes back, in words; empty: there is nothing."""
    can_skip: bool
    just_begun: bool
    cautions: tuple[str, ...]
    summary: Summary | None


def screen(sitting: Sitting) -> Screen:
    """Return what to show now; the sitting must be in hand."""
    with sitting.lock:
        form, walk = sitting.form, sitting.session.walk
        point = _point(sitting)
        entry = form.page.entry
        assert entry is not None, "a walk in hand asks something"
        zone = _zone(walk)
        started = walk.started
        asking = form.waiting is Waiting.ANSWER
        return Screen(
            waiting=form.waiting.value,
            step=sitting.step,
            unit=started.unit if started else "",
            operator=started.operator if started else "",
            message=sitting.message,
            zones=_zones(walk),
            zone=zone,
            returning=isinstance(walk.task, AskCheckpoint) and walk.task.returning,
            answered=len(walk.answers),
            points=len(walk.checklist.checkpoints),
            question=_question(sitting, point),
            point=point,
            parts=_parts(sitting),
            choices=entry.choices,
            reading=entry.reading,
            take_back=_take_back(sitting),
            can_skip=asking and _can_skip(walk, point),
            just_begun=not walk.answers and not walk.skipped and not form.draft.parts,
            cautions=walk.checklist.cautions,
            summary=_summary(form.pages, walk)
            if form.waiting is Waiting.DECLARATION
            else None,
        )


def _point(sitting: Sitting) -> Checkpoint | None:
    point_id = sitting.form.draft.checkpoint_id
    if point_id is None:
        return None
    return sitting.session.walk.checklist.checkpoint(point_id)


def _zone(walk: Walk) -> str:
    match walk.task:
        case AskCheckpoint(checkpoint=point):
            return walk.checklist.zone(point.zone_id).title
        case Climb(zone=zone):
            return zone.title
        case _:
            return ""


def _zones(walk: Walk) -> tuple[ZoneProgress, ...]:
    match walk.task:
        case AskCheckpoint(checkpoint=point):
            here = point.zone_id
        case Climb(zone=zone):
            here = zone.id
        case _:
            here = ""
    return tuple(
        ZoneProgress(
            title=zone.title,
            points=len(zone.checkpoints),
            answered=sum(point.id in walk.answers for point in zone.checkpoints),
            here=zone.id == here,
        )
        for zone in walk.checklist.zones
    )


def _question(sitting: Sitting, point: Checkpoint | None) -> str:
    """Ask in one sentence; the form's own words where it has some."""
    form, walk = sitting.form, sitting.session.walk
    wording = form.pages.wording
    match form.waiting:
        case Waiting.ANSWER if point is not None and form.draft.parts:
            name = _asked(sitting, point)
            return wording.say(f"ask_{name.value}")
        case Waiting.ANSWER if point is not None:
            return point.prompt
        case Waiting.SKIP_REASON:
            return form.pages.say("skip_reason")
        case Waiting.STOP:
            return form.pages.say("confirm_stop")
        case Waiting.CLIMB:
            assert isinstance(walk.task, Climb)
            return walk.task.zone.climb_caution
        case _:
            return form.pages.say("sign")


def _asked(sitting: Sitting, point: Checkpoint) -> QuestionName:
    walk, parts = sitting.session.walk, sitting.form.draft.parts
    question = next_question(walk.checklist, point, parts)
    assert question is not None, "a complete answer is committed, never asked"
    return question.name


def _parts(sitting: Sitting) -> tuple[str, ...]:
    wording = sitting.form.pages.wording
    parts = sitting.form.draft.parts
    return tuple(wording.part(name.value, meaning) for name, meaning in parts.items())


def _take_back(sitting: Sitting) -> str:
    form, walk = sitting.form, sitting.session.walk
    if form.waiting in {Waiting.SKIP_REASON, Waiting.STOP}:
        return ""  # their own buttons lead back
    if form.draft.parts:
        return _parts(sitting)[0]
    last = walk.last_skipped or walk.last_answered
    return "" if last is None else walk.checklist.checkpoint(last).prompt


def _can_skip(walk: Walk, point: Checkpoint | None) -> bool:
    if point is None or point.kind is CheckpointKind.START:
        return False
    return point.id not in walk.skipped


def _summary(pages: Pages, walk: Walk) -> Summary:
    decision = walk.proposed_decision
    hits = [hit for hit in decision.reasons if hit.outcome is decision.outcome]
    findings = []
    for finding in walk.findings:
        point = walk.checklist.checkpoint(finding.checkpoint_id)
        findings.append(
            FindingLine(
                zone=walk.checklist.zone(finding.zone_id).title,
                point=point.prompt,
                answer=pages.answer(point, finding.answer),
                outcome=finding.outcome.value,
            )
        )
    return Summary(
        findings=tuple(findings),
        outcome=decision.outcome.value,
        outcome_text=pages.wording.outcome(decision.outcome),
        reasons=tuple({hit.rule_id: (hit.text, hit.source) for hit in hits}.values()),
        first=pages.wording.say("first"),
        declaration=walk.checklist.declaration,
    )
