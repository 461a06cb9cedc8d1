"""Play the turns of a conversation on a sound link, and tell what happens."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from voicecheck.audio.files import wav_bytes
from voicecheck.audio.ports import Sound, SoundLink
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.noise_turns import NoiseTurns
from voicecheck.dialogue.ports import Talker
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
from voicecheck.speech.barge_in import BargeIn
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Heard, Listened, Synthesiser

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
        noise: watches the noise; None: nobody does.
        barge_in: hears answers over prompts; None: prompts are said to their end.
    """

    def __init__(
        self,
        conversation: Talker,
        link: SoundLink,
        listener: Listener,
        synthesiser: Synthesiser,
        watch: Watch,
        keep_clip: Callable[[bytes], str],
        noise: NoiseTurns | None = None,
        barge_in: BargeIn | None = None,
    ) -> None:
        self._talk = conversation
        self._link = link
        self._listener = listener
        self._synthesiser = synthesiser
        self._watch = watch
        self._keep_clip = keep_clip
        self._noise = noise
        self._barge_in = barge_in
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
            last = step is turn.steps[-1]
            if last and isinstance(step, Say) and isinstance(turn.then, Listen):
                heard = self._ask(step, turn.then)
                if heard is not None:
                    return self._taken(heard)
            else:
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

    def _ask(self, say: Say, listen: Listen) -> Heard | None:
        """Say the question; return an answer that came over it, if any may."""
        if self._barge_in is None or not say.may_be_cut:
            self._say(say)
            return None
        sound = self._announced(say)
        heard = self._barge_in.play(sound, say.text, listen.active)
        if heard is not None:
            self._watch("barge_in", {"checkpoint": listen.checkpoint_id})
        elif self._barge_in.cut_short:  # by no answer: the question is due whole
            self._say(say)
        return heard

    def _say(self, say: Say) -> None:
        self._link.play(self._announced(say))

    def _announced(self, say: Say) -> Sound:
        """Tell whoever watches what is said now, and return its sound."""
        kind = "readback" if say.kind is SayKind.READBACK else "prompt"
        data: dict[str, Any] = {"text": say.text, "checkpoint": say.checkpoint_id}
        if say.value is not None:
            data["value"] = dict(say.value)
        sound = self._synthesiser.speak(say.text, self._talk.language)
        self._watch(kind, {**data, "seconds": round(sound.seconds, 2)})
        if say.kind is not SayKind.INFO:
            self._prompt_began_s = self._link.clock.monotonic_s()
        return sound

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
        return self._taken(listened)

    def _taken(self, listened: Listened) -> Turn:
        if isinstance(listened, Heard):
            self._watch("speech", {"seconds": listened.ended_s - listened.started_s})
        zone_id = self._talk.zone_id
        if self._noise is not None:
            self._noise.tell(self._talk)
        turn = self._talk.heard(listened, self._prompt_began_s)
        over = turn.then is None or self._talk.state is State.PAUSED
        if self._noise is not None and (over or self._talk.zone_id != zone_id):
            self._noise.keep(zone_id)
        return turn

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
