"""Put the questions that the walk wants answered."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.dialogue import prompts
from voicecheck.dialogue.asked import Asked
from voicecheck.dialogue.draft import Draft
from voicecheck.dialogue.machine import State, Trigger
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Say, Step, Turn
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.probing import QuestionName, first_question, next_question
from voicecheck.round.spelling import digit_question
from voicecheck.round.walk import AskCheckpoint, Climb, Phase, SumUp


def go_on(talk: Talk, steps: Iterable[Step] = ()) -> Turn:
    """Turn to whatever the walk wants next."""
    match talk.walk.task:
        case AskCheckpoint() as task:
            return _ask_point(talk, task, steps)
        case Climb() as task:
            return _climb(talk, task, steps)
        case SumUp():
            return _sum_up(talk, steps)
        case _:
            return _end(talk, steps)


def ask_why_skip(talk: Talk) -> Turn:
    """Ask for the reason of a skip. What was heard of the point is kept until then."""
    asked = Asked(
        state=State.SKIPPING,
        prompt=talk.ask("ask_skip_reason"),
        listen=talk.listen(QuestionName.REASON),
    )
    return talk.put(asked)


def declare_again(talk: Talk) -> Turn:
    """Make sure that no to the declaration was meant."""
    asked = Asked(
        state=State.DECLARING,
        prompt=talk.ask("declaration_again"),
        listen=talk.listen(QuestionName.YES_NO),
        repeated=talk.present.repeated,
        last_chance=True,
    )
    return talk.put(asked)


def _ask_point(talk: Talk, task: AskCheckpoint, steps: Iterable[Step]) -> Turn:
    """Ask the next part of a point; hazards and explanations only at the first."""
    point = task.checkpoint
    said: list[Step] = list(steps)
    fresh = talk.draft.checkpoint_id != point.id
    if fresh:
        talk.draft = Draft(checkpoint_id=point.id)
    if talk.zone_id != point.zone_id or (fresh and task.returning):
        talk.zone_id = point.zone_id
        zone = talk.walk.checklist.zone(point.zone_id)
        said += prompts.zone_steps(talk.wording, zone, returning=task.returning)
    if fresh:
        said += prompts.introduction(talk.wording, point, full=talk.settings.full)
    parts = talk.draft.parts
    question = next_question(talk.walk.checklist, point, parts)
    timeout_s = talk.settings.timeout_s
    number = question is not None and question.name is QuestionName.NUMBER
    if number and talk.draft.by_digit:
        return _ask_digit(talk, point, said)
    if not parts or question is None:
        question = first_question(point)
        prompt = prompts.prompt(point)
        timeout_s += point.min_look_s
    else:
        part, meaning = list(parts.items())[-1]
        opened = talk.wording.part(part.value, meaning).capitalize() + "."
        (prompt,) = prompts.follow_up(talk.wording, question, opened)
    listen = talk.listen_to(question, timeout_s)
    asked = Asked(state=State.ASKING, prompt=prompt, listen=listen)
    return talk.put(asked, said)


def _ask_digit(talk: Talk, point: Checkpoint, steps: Iterable[Step]) -> Turn:
    """Ask for the next digit of a number that was not understood as a whole."""
    signs = talk.draft.spelled or ""
    talk.draft.spelled = signs
    asked = Asked(
        state=State.ASKING,
        prompt=prompts.digit_prompt(talk.wording, point, signs),
        listen=talk.listen_to(digit_question(point, signs), talk.settings.timeout_s),
    )
    return talk.put(asked, steps)


def _climb(talk: Talk, task: Climb, steps: Iterable[Step]) -> Turn:
    talk.draft = Draft()
    talk.zone_id = task.zone.id
    asked = Asked(
        state=State.CLIMBING,
        prompt=prompts.climb_prompt(talk.wording, task),
        listen=talk.listen(QuestionName.CLIMB, talk.settings.paused_timeout_s),
    )
    said = (
        *steps,
        prompts.climb_notice(task),
        *prompts.zone_steps(talk.wording, task.zone, returning=False),
    )
    return talk.put(asked, said)


def _sum_up(talk: Talk, steps: Iterable[Step]) -> Turn:
    talk.draft = Draft()
    summary = prompts.summary_steps(talk.wording, talk.walk)
    asked = Asked(
        state=State.DECLARING,
        prompt=prompts.declaration_prompt(talk.wording, talk.walk),
        listen=talk.listen(QuestionName.YES_NO),
        repeated=tuple(step for step in summary if isinstance(step, Say)),
    )
    return talk.put(asked, (*steps, *summary))


def _end(talk: Talk, steps: Iterable[Step]) -> Turn:
    """Say the decision, unless it was signed as it was read out."""
    walk = talk.walk
    talk.draft = Draft()
    talk.asked = talk.doubt = None
    talk.machine.fire(Trigger.END)
    if walk.phase is Phase.SIGNED:
        return Turn(steps=tuple(steps), then=None)
    decision = walk.decision
    return Turn(
        steps=(
            *steps,
            prompts.decision_notice(decision),
            Say(text=talk.wording.outcome(decision.outcome)),
            Say(text=talk.wording.say("first")),
        ),
        then=None,
    )
