"""Hear marks on a sound link until the assessor stops."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from voicecheck.audio.ports import SoundLink
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.dialogue.confirmation import fitting
from voicecheck.errors import DeviceLost
from voicecheck.observe.marks import Mark, Retraction
from voicecheck.observe.spoken.marking import Marking
from voicecheck.observe.spoken.policy import taken
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Synthesiser

Watch = Callable[[str, Mapping[str, Any]], object]
"""Told the kind of each happening and its data."""

_QUIET_S = 30.0
"""How long one listening waits; then it begins anew, without a word."""


class MarksListening:
    """Listen, keep, read back, again and again.

    Args:
        marking: where the assessor is.
        active: what may be said.
        link: where to listen and read back.
        listener: hears on the same link.
        synthesiser: says the read-back; None: a short tone instead.
        keep: keeps an event; whatever it raises ends the listening before
            anything is read back.
        watch: told what happens.
    """

    def __init__(
        self,
        marking: Marking,
        active: ActiveSet,
        link: SoundLink,
        listener: Listener,
        synthesiser: Synthesiser | None,
        keep: Callable[[Mark | Retraction], object],
        watch: Watch,
    ) -> None:
        self._marking = marking
        self._active = active
        self._link = link
        self._listener = listener
        self._synthesiser = synthesiser
        self._keep = keep
        self._watch = watch

    def run(self) -> None:
        """Take marks until "stop marking" is heard.

        A lost device is waited for; nothing is marked meanwhile.
        """
        over = False
        while not over:
            try:
                over = self.once()
            except DeviceLost as error:
                self._watch("device_lost", {"text": str(error)})
                while not self._link.reopen():
                    pass  # reopen waits a moment by itself
                self._watch("device_back", {})

    def once(self) -> bool:
        """Listen for one word; return whether it was the last."""
        heard = self._listener.listen(self._active, _QUIET_S)
        if not isinstance(heard, Heard):
            return False
        hypotheses = fitting(heard, self._active)
        meaning = taken(hypotheses)
        if meaning is None:
            guess = hypotheses[0] if hypotheses else None
            self._watch(
                "not_taken",
                {
                    "guess": guess.phrase if guess else "",
                    "confidence": round(guess.confidence, 3) if guess else 0.0,
                },
            )
            self._link.play(make_tone(Tone.NOT_UNDERSTOOD))
            return False
        step = self._marking.take(meaning)
        if step.event is not None:
            self._keep(step.event)
        self._watch(
            "taken",
            {"meaning": meaning, "text": step.read_back, "event": step.event},
        )
        self._answer(step.read_back)
        return step.over

    def _answer(self, text: str) -> None:
        if self._synthesiser is not None:
            sound = self._synthesiser.speak(text, self._active.language)
            self._link.play(sound)
        else:
            self._link.play(make_tone(Tone.TAKEN))
