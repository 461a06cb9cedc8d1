"""Hear an answer that comes while the prompt is still playing.

The prompt stops once speech has gone on for a quarter of a second; a cough or
a bang is shorter. Nothing of the utterance is lost, since the microphone is
read all along. Whatever sounds like the prompt itself, names a phrase of the
prompt, or is like none of the phrases, is no answer: the prompt is then said
again and listened to as usual.
"""

from __future__ import annotations

import re
from dataclasses import replace

from voicecheck.audio.echo_guard import ECHO_LIKENESS, echo_likeness
from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.ports import InterruptibleLink, Sound
from voicecheck.audio.resample import resample
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis

__all__ = ["ONSET_S", "BargeIn"]

ONSET_S = 0.25
"""Speech for so long stops the prompt."""
_SURE = 0.5
"""An answer over a prompt must be likelier than all else together."""


class BargeIn:
    """Play prompts that an answer may cut short.

    Args:
        link: plays and listens at once.
        listener: hears on the same link.
    """

    cut_short: bool
    """Whether the last prompt was cut short."""

    def __init__(self, link: InterruptibleLink, listener: Listener) -> None:
        self.cut_short = False
        self._link = link
        self._listener = listener

    def play(self, sound: Sound, text: str, active: ActiveSet) -> Heard | None:
        """Play a prompt; return an answer that came over it, or None.

        After None the prompt is out, unless `cut_short` says otherwise.

        Args:
            sound: the prompt.
            text: what it says.
            active: what may be answered.

        Raises:
            DeviceLost: a device went away.
        """
        self.cut_short = False
        played = resample(sound.frames, sound.rate_hz, RATE_HZ)
        self._link.begin(sound)

        def judge(voiced_s: float, begun_is_echo: bool) -> None:
            if voiced_s >= ONSET_S and not begun_is_echo and self._link.playing:
                self.cut_short = True
                self._link.stop()

        try:
            heard = self._listener.listen_over(
                active,
                playing=lambda: self._link.playing,
                echo=lambda frames: echo_likeness(frames, played) >= ECHO_LIKENESS,
                begun=judge,
                shortest_s=ONSET_S,
            )
        finally:
            if self._link.playing:
                self._link.stop()
        if heard is None or not _answers(heard, text, active):
            return None
        return replace(heard, barge_in=True)


def _answers(heard: Heard, text: str, active: ActiveSet) -> bool:
    best = heard.hypotheses[0] if heard.hypotheses else None
    if best is None or heard.too_long or best.confidence < _SURE:
        return False
    return active.phrase(best.phrase) is not None and not _named(best, text)


def _named(best: Hypothesis, text: str) -> bool:
    """Whether the prompt itself says this phrase."""
    said = " ".join(re.findall(r"\w+", text.casefold()))
    return f" {best.phrase.casefold()} " in f" {said} "
