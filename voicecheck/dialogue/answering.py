"""Take the parts of an answer, read it back, keep it."""

from __future__ import annotations

from voicecheck.audio.tones import Tone
from voicecheck.dialogue import asking, digits, failures, heard_better
from voicecheck.dialogue.asked import Asked, PendingAnswer
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.draft import Draft
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.objection import Objection
from voicecheck.dialogue.settings import DialogueSettings
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Notice, Say, SayKind, Signal, Step, Turn
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer, Good, NotFitted, ReadingTaken
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.decision import finding_kind
from voicecheck.round.probing import (
    QuestionName,
    next_question,
    problem_with,
    to_answer,
)
from voicecheck.round.record import answer_data
from voicecheck.speech.ports import Heard, Hypothesis


def take_part(talk: Talk, best: Hypothesis, outcome: Outcome, heard: Heard) -> Turn:
    """Take in one part; ask for the next one, read back, or keep the answer."""
    checklist, point, draft = talk.walk.checklist, talk.point, talk.draft
    question = QuestionName(talk.present.listen.active.question)
    doubtful = outcome is Outcome.CONFIRM
    if question is QuestionName.DIGIT:
        asked = digits.take(talk, best, heard, doubtful=doubtful)
        if asked is not None:
            return asked
    else:
        draft.add(question, best, heard, doubtful=doubtful)
    if next_question(checklist, point, draft.parts) is not None:
        return asking.go_on(talk, [Signal(tone=Tone.TAKEN)])
    try:
        answer = to_answer(checklist, point, draft.parts)
    except ValueError:  # a leak where the checklist has no fluids
        return refuse(talk)
    if problem_with(checklist, point, answer) is not None:
        return _does_not_fit(talk, point, answer)
    pending = PendingAnswer(checkpoint=point, answer=answer)
    if talk.too_loud or needs_yes(talk.settings, draft, pending):
        return _read_back(talk, pending)
    return _keep(talk, pending, confirmed_by="implicit")


def needs_yes(settings: DialogueSettings, draft: Draft, pending: PendingAnswer) -> bool:
    """Tell whether an answer waits for yes: findings, readings, absences, doubt."""
    point, answer = pending.checkpoint, pending.answer
    if settings.confirm_always or draft.doubtful:
        return True
    if isinstance(answer, NotFitted | ReadingTaken):
        return True
    return finding_kind(point, answer) is not None


def answer_read_back(talk: Talk, best: Hypothesis) -> Turn:
    """Keep what was read back after a sure yes; ask again after any no."""
    pending = talk.present.pending
    if best.meaning != "yes" or pending is None:
        return refuse(talk)
    talk.habit.confirmed(pending.answer)
    return _keep(talk, pending, confirmed_by="explicit", says=heard_better.tip(talk))


def refuse(talk: Talk) -> Turn:
    """What was understood was wrong: forget it and ask the point again."""
    if talk.draft.parts.get(QuestionName.CONDITION) == "good":
        talk.habit.was_wrong()
    talk.draft.refuse()
    return asking.go_on(talk, [Signal(tone=Tone.NOT_UNDERSTOOD), talk.say("not_taken")])


def _does_not_fit(talk: Talk, point: Checkpoint, answer: Answer) -> Turn:
    """A number that cannot be is not taken."""
    spec = point.reading
    if spec is None or not isinstance(answer, ReadingTaken):
        return refuse(talk)
    talk.draft.restart()
    value = talk.wording.number(answer.value)
    if spec.is_plausible(answer.value):
        say = talk.say("too_many_digits", value=value, decimals=spec.decimals)
    else:
        say = talk.say(
            "implausible",
            value=value,
            unit=talk.wording.unit(point),
            low=spec.plausible_min,
            high=spec.plausible_max,
        )
    return failures.failed(talk, "implausible", says=[say])


def _read_back(talk: Talk, pending: PendingAnswer) -> Turn:
    point = pending.checkpoint
    usual = talk.settings.moves_odds and not talk.too_loud
    text = talk.wording.say(
        "confirm",
        point=talk.wording.point(point),
        answer=talk.wording.answer(point, pending.answer),
    )
    asked = Asked(
        state=State.CONFIRMING,
        prompt=Say(
            text=text,
            kind=SayKind.READBACK,
            checkpoint_id=point.id,
            value=answer_data(pending.answer),
        ),
        listen=talk.listen(QuestionName.YES_NO),
        pending=pending,
        objection=Objection(talk.draft.sure) if usual else None,
    )
    return talk.put(asked, [Signal(tone=Tone.TAKEN)])


def _keep(
    talk: Talk,
    pending: PendingAnswer,
    *,
    confirmed_by: str,
    says: tuple[Step, ...] = (),
) -> Turn:
    """Keep an answer, say what there is to say, and go on at once."""
    point, answer = pending.checkpoint, pending.answer
    how = talk.draft.how(
        point, answer, confirmed_by=confirmed_by, engine=talk.settings.engine
    )
    talk.keeper.commit(ev.AnswerConfirmed(checkpoint_id=point.id, answer=answer), how)
    talk.leave_point()
    data = {
        "checkpoint": point.id,
        "value": answer_data(answer),
        "confirmed": confirmed_by,
        "too_fast": how.too_fast,
    }
    steps = [Notice(kind="answer", data=data), Signal(tone=Tone.TAKEN), *says]
    if confirmed_by == "implicit":
        steps.append(_said_back(talk, point, answer))
    if talk.walk.over:
        reason = talk.walk.stop_reason
        steps.append(talk.say("stopped_by_check", reason=reason))
    return asking.go_on(talk, steps)


def _said_back(talk: Talk, point: Checkpoint, answer: Answer) -> Say:
    """Say an answer that is not asked about: one word can still take it back."""
    words = talk.wording.answer(point, answer)
    text = talk.wording.say("taken", answer=words).capitalize()
    if isinstance(answer, Good):
        text = talk.wording.say("good_taken")
    return Say(
        text=text,
        kind=SayKind.READBACK,
        checkpoint_id=point.id,
        value=answer_data(answer),
    )
