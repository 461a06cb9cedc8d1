"""Words that steer the dialogue: repeat, help, go back, skip, pause, note, stop."""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.dialogue import answering, asking, digits, failures, prompts
from voicecheck.dialogue.asked import Asked
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Notice, Say, SayKind, Turn
from voicecheck.round import events as ev
from voicecheck.round.answers import Good
from voicecheck.round.checklist import CheckpointKind
from voicecheck.round.probing import QuestionName
from voicecheck.speech.ports import Heard, Hypothesis


def obey(talk: Talk, word: Hypothesis, outcome: Outcome, heard: Heard) -> Turn:
    """Do what a control word asks, reading it back first where it matters."""
    if word.meaning in _HARMLESS_ACTS:
        return _HARMLESS_ACTS[word.meaning](talk)
    if word.meaning == "back" and talk.state is State.CONFIRMING:
        return _unsay(talk)  # the safe side, however surely it was heard
    if outcome is not Outcome.ACCEPT and talk.state is State.CLIMBING:
        return failures.failed(talk, "nomatch", heard)  # no question on a ladder
    if outcome is not Outcome.ACCEPT or word.meaning == "stop":
        return _doubt(talk, word)
    return _act(talk, word)


def answer_doubt(talk: Talk, best: Hypothesis) -> Turn:
    """Obey a control word after a sure yes; otherwise ask on as if nothing was."""
    word = talk.present.control
    if best.meaning != "yes" or word is None:
        return talk.put_again()
    return _act(talk, word)


def _act(talk: Talk, word: Hypothesis) -> Turn:
    talk.return_to_question()
    return _ACTS[word.meaning](talk)


def _doubt(talk: Talk, word: Hypothesis) -> Turn:
    key = "confirm_stop" if word.meaning == "stop" else "confirm_part"
    doubt = Asked(
        state=State.CONFIRMING,
        prompt=Say(
            text=talk.wording.say(key, phrase=word.phrase),
            kind=SayKind.READBACK,
            checkpoint_id=talk.draft.checkpoint_id,
            value={"control": word.meaning},
        ),
        listen=talk.listen(QuestionName.YES_NO),
        control=word,
    )
    return talk.put_doubt(doubt)


def _unsay(talk: Talk) -> Turn:
    """Say no to a read-back in other words."""
    if talk.doubt is not None:
        return talk.put_again()
    return answering.refuse(talk)


def _repeat(talk: Talk) -> Turn:
    return talk.remind(talk.present.repeated)


def _help(talk: Talk) -> Turn:
    active = talk.present.listen.active
    if talk.state is State.ASKING:
        text = prompts.help_text(talk.wording, talk.point, active)
    else:
        text = prompts.choices(talk.wording, active)
    return talk.remind([Say(text=text, checkpoint_id=talk.draft.checkpoint_id)])


def _remaining(talk: Talk) -> Turn:
    return talk.remind([talk.say("remaining", left=talk.walk.remaining)])


def _back(talk: Talk) -> Turn:
    """Take back what was said last: the reason, the parts, a skip, an answer."""
    if talk.state is State.SKIPPING:
        return asking.go_on(talk, [talk.say("not_taken")])
    if talk.draft.parts:
        return answering.refuse(talk)
    if talk.draft.spelled:
        return digits.take_back(talk)
    skipped = talk.walk.last_skipped
    last = skipped or talk.walk.last_answered
    if last is None:
        return talk.put_again([talk.say("nothing_to_take_back")])
    if not skipped and isinstance(talk.walk.answers[last], Good):
        talk.habit.was_wrong()
    withdrawn = ev.SkipWithdrawn if skipped else ev.AnswerWithdrawn
    talk.keeper.commit(withdrawn(checkpoint_id=last))
    point = talk.walk.checklist.checkpoint(last)
    text = talk.wording.say("taken_back", point=talk.wording.point(point))
    steps = (
        Notice(kind="withdrawn", data={"checkpoint": last}),
        Say(text=text.rstrip(": ") + "."),
    )
    return asking.go_on(talk, steps)


def _skip(talk: Talk) -> Turn:
    about_a_point = talk.state in (State.ASKING, State.SKIPPING)
    if not about_a_point or talk.point.kind is CheckpointKind.START:
        return talk.put_again([talk.say("cannot_skip")])
    if talk.point.id in talk.walk.skipped:
        return talk.put_again([talk.say("cannot_skip_again")])
    return asking.ask_why_skip(talk)


def _pause(talk: Talk) -> Turn:
    return talk.pause([talk.say("paused")], "operator")


def _note(talk: Talk) -> Turn:
    return talk.take_note()


def _stop(talk: Talk) -> Turn:
    talk.keeper.commit(ev.WalkStopped(reason="operator"))
    return asking.go_on(talk, [talk.say("stopped")])


_HARMLESS_ACTS: dict[str, Callable[[Talk], Turn]] = {
    "repeat": _repeat,
    "help": _help,
    "remaining": _remaining,
}
"""Obeyed without a read-back even when they are in doubt."""
_ACTS: dict[str, Callable[[Talk], Turn]] = {
    "back": _back,
    "skip": _skip,
    "pause": _pause,
    "note": _note,
    "stop": _stop,
}
