"""Take in a number one digit at a time, after it failed as a whole.

A single digit has a pause around it and few rivals; a string fails more often.
"""

from __future__ import annotations

from voicecheck.audio.tones import Tone
from voicecheck.dialogue import asking, failures
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Signal, Turn
from voicecheck.round.probing import QuestionName
from voicecheck.round.spelling import FINISHED, is_number, is_whole, with_sign
from voicecheck.speech.ports import Heard, Hypothesis


def take(talk: Talk, best: Hypothesis, heard: Heard, *, doubtful: bool) -> Turn | None:
    """Take in one digit, the point, or the end.

    Returns:
        The turn that asks for the next digit; None when the answer to the
        question for the number is there, whatever it is.
    """
    draft, point = talk.draft, talk.point
    signs = draft.spelled or ""
    if best.meaning == FINISHED:
        if not is_number(signs):
            return failures.failed(talk, "nomatch", heard)
        draft.take_in(best, heard, doubtful=doubtful)
        draft.parts[QuestionName.NUMBER] = signs
        return None
    if len(best.meaning) > 1 and best.meaning != "point":  # no number at all
        draft.restart()
        draft.add(QuestionName.NUMBER, best, heard, doubtful=doubtful)
        return None
    draft.take_in(best, heard, doubtful=doubtful)
    draft.spelled = with_sign(signs, best.meaning)
    if is_whole(point, draft.spelled):
        draft.parts[QuestionName.NUMBER] = draft.spelled
        return None
    return asking.go_on(talk, [Signal(tone=Tone.TAKEN)])


def take_back(talk: Talk) -> Turn:
    """Forget the last digit and ask for it again."""
    talk.draft.spelled = (talk.draft.spelled or "")[:-1]
    return asking.go_on(talk, [talk.say("not_taken")])
