"""The texts of a turn: zones, prompts, choices, the summary at the end."""

from __future__ import annotations

from voicecheck.dialogue.turns import Notice, Say, SayKind, Step
from voicecheck.dialogue.wording import Wording
from voicecheck.round.checklist import Checkpoint, Zone
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


def zone_steps(wording: Wording, zone: Zone, *, returning: bool) -> tuple[Step, ...]:
    """Announce a zone."""
    key = "returning" if returning else "zone"
    return (
        Notice(kind="zone", data={"zone": zone.id, "title": zone.title}),
        Say(text=wording.say(key, zone=zone.title)),
    )


def prompt_steps(
    wording: Wording, checkpoint: Checkpoint, *, fresh: bool, full: bool
) -> tuple[Step, ...]:
    """Ask a point; hazards and explanations only the first time."""
    steps: list[Step] = []
    if fresh:
        steps += [
            Say(text=wording.say("hazard", hazard=hazard), checkpoint_id=checkpoint.id)
            for hazard in checkpoint.hazards
        ]
    if fresh and full:
        text = wording.say(
            "full", look=checkpoint.look, wrong=checkpoint.wrong, why=checkpoint.why
        )
        steps.append(Say(text=text, checkpoint_id=checkpoint.id))
    steps.append(
        Say(text=checkpoint.prompt, kind=SayKind.PROMPT, checkpoint_id=checkpoint.id)
    )
    return tuple(steps)


def follow_up(wording: Wording, question: Question, opened: str) -> tuple[Step, ...]:
    """Ask for a part of a finding, with what was understood before it."""
    text = f"{opened} {wording.say(_FOLLOW_UPS[question.name])}".strip()
    return (Say(text=text, kind=SayKind.PROMPT, checkpoint_id=question.checkpoint_id),)


def climb_steps(wording: Wording, climb: Climb, caution: str) -> tuple[Step, ...]:
    """Say the caution of a climb. Nothing is asked until both feet are down."""
    text = f"{caution} {wording.say('climb_done_prompt')}"
    return (Say(text=text, kind=SayKind.PROMPT),)


def choices(wording: Wording, active: ActiveSet) -> str:
    """Name what may be said: one phrase for each meaning, controls left out."""
    by_meaning: dict[str, str] = {}
    for phrase in active.phrases:
        if not phrase.control:
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
    """Read out every finding, the decision with its reasons, the declaration."""
    decision = walk.proposed_decision
    findings = walk.findings
    keys = {0: "no_findings", 1: "one_finding"}
    key = keys.get(len(findings), "findings")
    steps: list[Step] = [Say(text=wording.say(key, count=len(findings)))]
    for number, finding in enumerate(findings, 1):
        point = walk.checklist.checkpoint(finding.checkpoint_id)
        text = wording.say(
            "finding",
            number=number,
            point=wording.point(point),
            answer=wording.answer(point, finding.answer),
        )
        steps.append(Say(text=text, checkpoint_id=point.id))
    steps.append(
        Notice(
            kind="decision",
            data={
                "outcome": decision.outcome.value,
                "rules": [hit.rule_id for hit in decision.reasons],
            },
        )
    )
    steps.append(Say(text=wording.outcome(decision.outcome)))
    reasons = dict.fromkeys(
        hit.text for hit in decision.reasons if hit.outcome is decision.outcome
    )
    steps += [Say(text=text) for text in list(reasons)[:3]]
    steps.append(Say(text=wording.say("first")))
    return tuple(steps)


def declaration_step(wording: Wording, walk: Walk) -> Say:
    """Ask for the declaration."""
    return Say(
        text=wording.say("declaration", declaration=walk.checklist.declaration),
        kind=SayKind.PROMPT,
    )
