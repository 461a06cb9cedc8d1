"""Play the turns of a conversation on a sound link, and tell what happens."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from voicecheck.audio.files import wav_bytes
from voicecheck.audio.ports import SoundLink
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.dialogue.conversation import Conversation
from voicecheck.dialogue.turns import (
    Listen,
    Notice,
    RecordNote,
    Say,
    SayKind,
    Signal,
    Step,
    Turn,
)
from voicecheck.errors import DeviceLost
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Heard, Synthesiser

Watch = Callable[[str, Mapping[str, Any]], None]
"""Told the kind of each happening and its data."""

_KEEP_S = 0.25
"""Sound from before the listening tone ended that still counts as answer."""


class Runner:
    """Carry one conversation through, from its first turn to its last.

    Args:
        conversation: what to say and how to take what is heard.
        link: where to play and listen.
        listener: hears on the same link.
        synthesiser: speaks the texts.
        watch: told everything that happens, as it happens.
        keep_clip: keeps the sound of a note, returns its SHA-256.
    """

    def __init__(
        self,
        conversation: Conversation,
        link: SoundLink,
        listener: Listener,
        synthesiser: Synthesiser,
        watch: Watch,
        keep_clip: Callable[[bytes], str],
    ) -> None:
        self._talk = conversation
        self._link = link
        self._listener = listener
        self._synthesiser = synthesiser
        self._watch = watch
        self._keep_clip = keep_clip
        self._prompt_began_s = 0.0
        self._played = 0

    def run(self) -> None:
        """Talk until the walk is over.

        A lost device pauses the walk; it goes on when the device is back.

        Raises:
            JournalError: an answer could not be kept; the walk can be resumed.
        """
        turn: Turn | None = self._talk.begin()
        while turn is not None:
            turn = self._next(turn)

    def _next(self, turn: Turn) -> Turn | None:
        try:
            return self._play(turn)
        except DeviceLost as error:
            return self._after_loss(turn, error)

    def _play(self, turn: Turn) -> Turn | None:
        self._played = 0
        for step in turn.steps:
            self._step(step)
            self._played += 1
        match turn.then:
            case Listen():
                return self._listen(turn.then)
            case RecordNote():
                return self._record(turn.then)
            case _:
                return None

    def _step(self, step: Step) -> None:
        match step:
            case Notice():
                self._watch(step.kind, step.data)
            case Signal():
                self._link.play(make_tone(step.tone))
            case Say():
                self._say(step)

    def _say(self, say: Say) -> None:
        kind = "readback" if say.kind is SayKind.READBACK else "prompt"
        data: dict[str, Any] = {"text": say.text, "checkpoint": say.checkpoint_id}
        if say.value is not None:
            data["value"] = dict(say.value)
        sound = self._synthesiser.speak(say.text, self._talk.language)
        self._watch(kind, {**data, "seconds": round(sound.seconds, 2)})
        if say.kind is not SayKind.INFO:
            self._prompt_began_s = self._link.clock.monotonic_s()
        self._link.play(sound)

    def _listen(self, listen: Listen) -> Turn:
        active = listen.active
        self._link.play(make_tone(Tone.LISTENING))
        self._watch(
            "listening",
            {
                "question": active.question,
                "checkpoint": listen.checkpoint_id,
                "phrases": [phrase.text for phrase in active.phrases],
                "numbers": active.numbers,
            },
        )
        listened = self._listener.listen(active, listen.timeout_s, _KEEP_S)
        if isinstance(listened, Heard):
            self._watch("speech", {"seconds": listened.ended_s - listened.started_s})
        return self._talk.heard(listened, self._prompt_began_s)

    def _record(self, note: RecordNote) -> Turn:
        self._link.play(make_tone(Tone.LISTENING))
        self._watch("recording", {"checkpoint": note.checkpoint_id})
        frames = self._listener.record(note.longest_s, note.timeout_s)
        if len(frames) == 0:
            return self._talk.note_recorded("", 0.0)
        seconds = len(frames) / 16_000
        sha256 = self._keep_clip(wav_bytes(frames))
        self._watch(
            "note",
            {
                "checkpoint": note.checkpoint_id,
                "sha256": sha256,
                "seconds": round(seconds, 2),
            },
        )
        return self._talk.note_recorded(sha256, seconds)

    def _after_loss(self, turn: Turn, error: DeviceLost) -> Turn | None:
        """Wait until the device is back; a walk that is over does not wait."""
        self._tell(self._talk.device_lost(str(error), self._played))
        if turn.then is None:
            self._tell(turn.steps[self._played :])
            return None
        while not self._link.reopen():
            pass  # reopen waits a moment by itself
        return self._talk.device_back()

    def _tell(self, steps: Iterable[Step]) -> None:
        """Tell whoever watches what cannot be said aloud."""
        for step in steps:
            if isinstance(step, Notice):
                self._watch(step.kind, step.data)
