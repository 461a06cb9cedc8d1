"""The texts of a turn: zones, prompts, choices, the summary at the end."""

from __future__ import annotations

from voicecheck.dialogue.turns import Notice, Say, SayKind, Step
from voicecheck.dialogue.wording import Wording
from voicecheck.round.checklist import Checkpoint, CheckpointKind, Zone
from voicecheck.round.decision import Decision
from voicecheck.round.probing import Question, QuestionName
from voicecheck.round.walk import Climb, Walk
from voicecheck.speech.ports import ActiveSet

_FOLLOW_UPS = {
    QuestionName.FAULT: "ask_fault",
    QuestionName.SEVERITY: "ask_severity",
    QuestionName.FLUID: "ask_fluid",
    QuestionName.LEAK_CLASS: "ask_leak_class",
    QuestionName.REASON: "ask_reason",
}
_MOST_REASONS = 3
"""Reasons of the decision that are spoken; the record has them all."""


def opening(wording: Wording, walk: Walk) -> tuple[Say, ...]:
    """Say what begins or goes on; cautions at the beginning only."""
    unit = walk.started.unit if walk.started else ""
    if walk.answers or walk.skipped:
        return (Say(text=wording.say("resume", unit=unit, left=walk.remaining)),)
    points = len(walk.checklist.checkpoints)
    return (
        Say(text=wording.say("start", unit=unit, points=points)),
        *(Say(text=caution) for caution in walk.checklist.cautions),
    )


def zone_steps(wording: Wording, zone: Zone, *, returning: bool) -> tuple[Step, ...]:
    """Announce a zone."""
    key = "returning" if returning else "zone"
    return (
        Notice(kind="zone", data={"zone": zone.id, "title": zone.title}),
        Say(text=wording.say(key, zone=zone.title)),
    )


def introduction(
    wording: Wording, checkpoint: Checkpoint, *, full: bool
) -> tuple[Say, ...]:
    """Say the hazards of a point, and to learners what to look at and why."""
    texts = [wording.say("hazard", hazard=hazard) for hazard in checkpoint.hazards]
    if full:
        texts.append(
            wording.say(
                "full", look=checkpoint.look, wrong=checkpoint.wrong, why=checkpoint.why
            )
        )
    return tuple(Say(text=text, checkpoint_id=checkpoint.id) for text in texts)


def prompt(checkpoint: Checkpoint) -> Say:
    """Ask a point."""
    return Say(
        text=checkpoint.prompt,
        kind=SayKind.PROMPT,
        checkpoint_id=checkpoint.id,
        may_be_cut=checkpoint.kind is not CheckpointKind.START,
    )


def digit_prompt(wording: Wording, checkpoint: Checkpoint, spelled: str) -> Say:
    """Ask for the first or the next digit; what was understood last comes first."""
    text = wording.say("first_digit")
    if spelled:
        text = wording.say("next_digit", digit=wording.sign(spelled[-1]).capitalize())
    return Say(
        text=text,
        kind=SayKind.PROMPT,
        checkpoint_id=checkpoint.id,
        value={"spelled": spelled},
    )


def follow_up(wording: Wording, question: Question, opened: str) -> tuple[Say, ...]:
    """Ask for a part of a finding, with what was understood before it."""
    text = f"{opened} {wording.say(_FOLLOW_UPS[question.name])}".strip()
    return (Say(text=text, kind=SayKind.PROMPT, checkpoint_id=question.checkpoint_id),)


def climb_prompt(wording: Wording, climb: Climb) -> Say:
    """Say the caution of a climb. Nothing is asked until both feet are down."""
    text = f"{climb.zone.climb_caution} {wording.say('climb_done_prompt')}".strip()
    return Say(text=text, kind=SayKind.PROMPT)


def climb_notice(climb: Climb) -> Notice:
    """Tell whoever watches that a climb begins."""
    return Notice(kind="climb", data={"zone": climb.zone.id})


def choices(wording: Wording, active: ActiveSet) -> str:
    """Name what may be said: one phrase for each meaning, controls left out."""
    by_meaning: dict[str, str] = {}
    for phrase in active.phrases:
        if not phrase.control and phrase.meaning.isdigit():
            by_meaning["digit"] = wording.say("one_digit")
        elif not phrase.control:
            by_meaning.setdefault(phrase.meaning, phrase.text)
    key = "choices_number" if active.numbers else "choices"
    listed = ", ".join(by_meaning.values())
    if active.numbers and listed:
        listed = wording.say("choices", choices=listed)
    return wording.say(key, choices=listed).strip()


def help_text(wording: Wording, checkpoint: Checkpoint, active: ActiveSet) -> str:
    """Explain a point and what may be said."""
    return wording.say(
        "help",
        look=checkpoint.look,
        wrong=checkpoint.wrong,
        choices=choices(wording, active),
    )


def summary_steps(wording: Wording, walk: Walk) -> tuple[Step, ...]:
    """Read out every finding and the decision with its reasons."""
    decision = walk.proposed_decision
    spoken = _findings(wording, walk)
    reasons = dict.fromkeys(
        hit.text for hit in decision.reasons if hit.outcome is decision.outcome
    )
    return (
        *spoken,
        decision_notice(decision),
        Say(text=wording.outcome(decision.outcome)),
        *(Say(text=text) for text in list(reasons)[:_MOST_REASONS]),
        Say(text=wording.say("first")),
    )


def _findings(wording: Wording, walk: Walk) -> tuple[Say, ...]:
    found = walk.findings
    key = {0: "no_findings", 1: "one_finding"}.get(len(found), "findings")
    says = [Say(text=wording.say(key, count=len(found)))]
    for number, finding in enumerate(found, 1):
        point = walk.checklist.checkpoint(finding.checkpoint_id)
        text = wording.say(
            "finding",
            number=number,
            point=wording.point(point),
            answer=wording.answer(point, finding.answer),
        )
        says.append(Say(text=text, checkpoint_id=point.id))
    return tuple(says)


def decision_notice(decision: Decision) -> Notice:
    """Tell whoever watches what is decided, and by which rules."""
    rules = [hit.rule_id for hit in decision.reasons]
    return Notice(
        kind="decision", data={"outcome": decision.outcome.value, "rules": rules}
    )


def declaration_prompt(wording: Wording, walk: Walk) -> Say:
    """Ask for the declaration."""
    return Say(
        text=wording.say("declaration", declaration=walk.checklist.declaration),
        kind=SayKind.PROMPT,
    )
