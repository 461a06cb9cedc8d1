"""What the dialogue does when it gets too loud, and when it is quiet again.

While it is too loud every answer waits for a yes. It is said once each way; both
go into the journal. What is heard is weighed as ever: its probability is right in
noise too, and a second penalty for noise kept a "yes" from ever being taken.
"""

from __future__ import annotations

from dataclasses import asdict

from voicecheck.audio.noise_watch.loudness import Advice, Change
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Notice, Say, Step

__all__ = ["QUIET_AGAIN", "TOO_LOUD", "changed"]

TOO_LOUD = "noise_too_loud"
QUIET_AGAIN = "noise_quiet_again"


def changed(talk: Talk, change: Change) -> tuple[Step, ...]:
    """Change manners; return what is to be told.

    Raises:
        JournalError: it could not be kept; manners are changed all the same.
    """
    talk.too_loud = change.too_loud
    talk.hinted_loud = True  # the hint after a failure would say it twice
    kind = TOO_LOUD if change.too_loud else QUIET_AGAIN
    detail = f"{change.noise:.0f} {change.unit}, SNR {change.snr_db:.0f} dB"
    talk.keeper.observe(kind, talk.draft.checkpoint_id, detail)
    notice = Notice(kind=kind, data={"too_loud": change.too_loud, **asdict(change)})
    if not change.too_loud:
        return (notice, talk.say("quiet_again"))
    return (notice, _advice(talk, change.advice), talk.say("loud_careful"))


def _advice(talk: Talk, advice: Advice) -> Say:
    match advice:
        case Advice.MICROPHONE:
            return talk.say("loud_microphone")
        case Advice.LOW:
            return talk.say("loud_low")
        case Advice.BANGS:
            return talk.say("loud_bangs")
        case _:
            return talk.say("loud_steady")
