"""When nothing was understood: a short re-prompt, then the choices, then a pause."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.audio.tones import Tone
from voicecheck.dialogue import asking, prompts
from voicecheck.dialogue.machine import State, Trigger
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Notice, Say, Signal, Step, Turn
from voicecheck.speech.ports import Heard

_LOUD_SNR_DB = 3.0
"""Below this estimate the operator is asked to speak up."""


def failed(
    talk: Talk, kind: str, heard: Heard | None = None, *, says: Iterable[Say] = ()
) -> Turn:
    """Ask again after a failure. Nothing is recorded but that it happened.

    Args:
        talk: the conversation.
        kind: one of noinput, nomatch, implausible.
        heard: what was not understood, if anything was heard.
        says: what was wrong with it.
    """
    if talk.state is State.PAUSED:
        return _still_paused(talk, kind, heard)
    talk.keeper.observe(kind, talk.draft.checkpoint_id)
    steps = [*_notices(kind, heard), *says]
    if _number_failed(talk, kind) and talk.draft.by_digit:
        return asking.go_on(talk, [*steps, *_loudness_hint(talk, heard)])
    if talk.machine.fire(Trigger.FAIL) is State.PAUSED:
        return talk.pause([*steps, talk.say("offer_pause")], "no_answer")
    steps += _loudness_hint(talk, heard)
    now = talk.present
    if now.state is State.CLIMBING:
        return talk.remind(steps, talk.ask("climb_waiting"))
    if talk.machine.failures > 1:
        choices = prompts.choices(talk.wording, now.listen.active)
        return talk.remind([*steps, Say(text=choices)])
    if kind != "nomatch":
        return talk.remind(steps)
    if now.state is State.CONFIRMING:
        return talk.remind(steps, talk.ask("confirm_again"))
    return talk.remind([*steps, talk.say("nomatch")])


def _number_failed(talk: Talk, kind: str) -> bool:
    """Count a number that was said and came to nothing; silence is no try."""
    whole = talk.present.listen.active.numbers and kind == "nomatch"
    said = talk.state is State.ASKING and (whole or kind == "implausible")
    if said:
        talk.draft.number_failures += 1
    return said


def _still_paused(talk: Talk, kind: str, heard: Heard | None) -> Turn:
    """Wait on. Talk nearby is nobody's business; what sounded like "carry on" is
    answered."""
    steps: list[Step] = [Notice(kind=kind)]
    if heard is not None and heard.hypotheses:
        steps.append(talk.say("still_waiting"))
    return talk.wait(steps)


def _notices(kind: str, heard: Heard | None) -> list[Step]:
    if kind == "noinput":
        return [Notice(kind=kind)]
    tone = Signal(tone=Tone.NOT_UNDERSTOOD)
    if kind != "nomatch":
        return [tone]
    too_long = bool(heard and heard.too_long)
    return [Notice(kind=kind, data={"too_long": too_long}), tone]


def _loudness_hint(talk: Talk, heard: Heard | None) -> list[Step]:
    """Once on a walk: it is too loud here."""
    if heard is None or heard.snr_db >= _LOUD_SNR_DB or talk.hinted_loud:
        return []
    talk.hinted_loud = True
    talk.keeper.observe("too_loud", talk.draft.checkpoint_id, f"{heard.snr_db:.0f}")
    return [talk.say("too_loud")]
