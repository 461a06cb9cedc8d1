"""The spoken session: say a word, listen, check, keep, on any sound link."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.audio.activity import BLOCK_S, Endpointer, Utterance
from voicecheck.audio.ports import SoundLink
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.speech.enrolment.checks import (
    Fault,
    check_sound,
    estimated_snr_db,
    trimmed,
)
from voicecheck.speech.enrolment.nearness import Nearness
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.enrolment.session import EnrolmentSession
from voicecheck.speech.grammar.files import CONTROLS, load
from voicecheck.speech.ports import ActiveSet, Phrase, Recogniser, Synthesiser

__all__ = ["Ended", "SpokenSession", "Voice"]

Tell = Callable[[str], None]
Keep = Callable[[Sequence[Example]], None]
Said = Callable[[str], None]

_TIMEOUT_S = 8.0
_PAUSED_S = 60.0
_SILENCES = 3
"""Silences in a row after which the session waits."""
_PAUSES = 5
"""Minutes that it waits before it ends; what is good is kept."""
_AFTER_S = 0.2
"""Listened on after a word, for a second one."""
_SURE = 0.8

_ADVICE = {
    Fault.SILENT: "Nothing came from the microphone.",
    Fault.TOO_QUIET: "Too quiet. Closer, or louder.",
    Fault.CLIPPING: "Too loud. A little further away.",
    Fault.NOISE: "The noise was louder. Turn away from it.",
    Fault.LENGTH: "Only the word, please.",
    Fault.SEVERAL: "Once at a time, please.",
    Fault.NOTHING: "Nothing heard.",
    Fault.OTHER_WORD: "That sounded like {heard}.",
    Fault.UNLIKE: "That sounded more like {heard}.",
}


class Ended(StrEnum):
    """Why a session ended."""

    COMPLETE = "complete"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """What speaks, listens and understands "pause"."""

    link: SoundLink
    endpointer: Endpointer
    recogniser: Recogniser
    synthesiser: Synthesiser


class SpokenSession:
    """Ask for each word until the session is complete.

    Args:
        voice: sound.
        session: what is still to be said.
        nearness: tells one word from another.
        tell: shows a line to people.
        keep: keeps the good examples, after each.
        said: told the word that is wanted, before it is listened for.
        now_utc: for the examples.
    """

    def __init__(
        self,
        voice: Voice,
        session: EnrolmentSession,
        nearness: Nearness,
        *,
        tell: Tell,
        keep: Keep,
        said: Said = lambda _: None,
        now_utc: Callable[[], str] = lambda: "",
    ) -> None:
        self._voice = voice
        self._session = session
        self._nearness = nearness
        self._tell = tell
        self._keep = keep
        self._said = said
        self._now_utc = now_utc
        self._asked = ""
        self._silences = 0
        self._noise_told = False
        self._controls = _controls(voice.recogniser.language, session.words)

    def run(self) -> Ended:
        """Carry the session through.

        Raises:
            DeviceLost: sound is gone; good examples are kept.
            ProfileError: an example could not be kept.
        """
        progress = self._session.progress()
        self._speak(
            f"{progress.wanted - progress.good} words to say. Say each after the "
            "tone. Say pause or stop at any time."
        )
        while (word := self._session.next()) is not None:
            if self._ask(word) is Ended.STOPPED:
                return Ended.STOPPED
        for left, fault in self._session.skipped.items():
            self._tell(f"left for now: {left} ({fault.value})")
        self._speak("Done. Thank you.")
        return Ended.COMPLETE

    def _ask(self, word: str) -> Ended | None:
        if word != self._asked:
            self._asked = word
            self._speak(f"{word}.")
        self._voice.link.play(make_tone(Tone.LISTENING))
        self._said(word)
        found, several = self._listen(_TIMEOUT_S)
        if found is None:
            return self._silence(word)
        self._silences = 0
        control = self._control(found, word)
        if control is not None:
            return self._obey(control, word)
        self._judge(word, found, several)
        return None

    def _judge(self, word: str, found: Utterance, several: bool) -> None:
        checked = check_sound(word, found.frames, estimated_snr_db(found.frames))
        faults = list(checked.faults)
        frames = trimmed(found, self._voice.endpointer.settings)
        heard = ""
        if several or found.too_long:
            faults.append(Fault.SEVERAL)
        if not faults:
            fault, heard = self._nearness.judge(word, frames)
            faults += [fault] if fault is not None else []
        if faults:
            self._refuse(word, faults[0], heard)
            return
        example = Example(
            phrase=word,
            frames=frames,
            spoken_utc=self._now_utc(),
            snr_db=round(checked.snr_db, 1),
        )
        self._nearness.add([example])
        self._session.accept(example)
        self._keep(self._session.examples)
        self._voice.link.play(make_tone(Tone.TAKEN))
        progress = self._session.progress()
        self._tell(
            f"{progress.good:>3}/{progress.wanted}  {word} "
            f"({checked.snr_db:.0f} dB over the noise)"
        )
        if checked.noisy and not self._noise_told:
            self._noise_told = True
            self._speak("It is noisy here. That works too.")

    def _refuse(self, word: str, fault: Fault, heard: str) -> None:
        self._voice.link.play(make_tone(Tone.NOT_UNDERSTOOD))
        left = self._session.refuse(word, fault)
        advice = _ADVICE[fault].format(heard=heard)
        self._tell(f"         {word}: {fault.value}{f' ({heard})' if heard else ''}")
        if left:
            self._speak(f"{advice} We leave {word} for now.")
        else:
            self._speak(f"{advice} Again: {word}.")

    def _silence(self, word: str) -> Ended | None:
        self._silences += 1
        if self._silences < _SILENCES:
            self._speak(f"Please say: {word}.")
            return None
        self._silences = 0
        return self._pause()

    def _obey(self, control: str, word: str) -> Ended | None:
        match control:
            case "stop":
                self._speak("Stopped. What was good is kept.")
                return Ended.STOPPED
            case "skip":
                self._session.skip(word)
                return None
            case _:
                return self._pause()

    def _pause(self) -> Ended | None:
        self._speak("Paused. Say carry on when you are ready.")
        self._tell("paused")
        active = _paused(self._voice.recogniser.language)
        for _ in range(_PAUSES):
            found, _several = self._listen(_PAUSED_S)
            if found is None:
                continue
            heard = self._voice.recogniser.recognise(found.frames, active)
            if heard and heard[0].confidence >= _SURE:
                if heard[0].meaning == "stop":
                    return Ended.STOPPED
                self._speak("Carrying on.")
                self._asked = ""
                return None
        return Ended.STOPPED

    def _control(self, found: Utterance, word: str) -> str | None:
        """Return pause, skip or stop when it was surely said instead of the word."""
        wanted = Phrase(text=word, meaning="", control=False)
        phrases = (wanted, *(p for p in self._controls.phrases if p.text != word))
        active = ActiveSet(
            question="controls", language=self._controls.language, phrases=phrases
        )
        heard = self._voice.recogniser.recognise(found.frames, active)
        if not heard or heard[0].phrase == word or heard[0].confidence < _SURE:
            return None
        return heard[0].meaning

    def _speak(self, text: str) -> None:
        self._tell(f"   says: {text}")
        language = self._voice.recogniser.language
        self._voice.link.play(self._voice.synthesiser.speak(text, language))

    def _listen(self, timeout_s: float) -> tuple[Utterance | None, bool]:
        """Return the next utterance, and whether another follows on its heels."""
        link, endpointer = self._voice.link, self._voice.endpointer
        link.discard(0.25)
        endpointer.reset()
        waited_s = 0.0
        while waited_s < timeout_s or endpointer.speaking:
            waited_s += BLOCK_S
            found = endpointer.accept(link.read())
            if found is not None:
                return found, self._another()
        return None, False

    def _another(self) -> bool:
        link, endpointer = self._voice.link, self._voice.endpointer
        for _ in range(round(_AFTER_S / BLOCK_S)):
            endpointer.accept(link.read())
        if not endpointer.speaking:
            return False
        while endpointer.speaking:
            if endpointer.accept(link.read()) is not None:
                return True
        return False


def _controls(language: str, words: Sequence[str]) -> ActiveSet:
    kept = tuple(
        phrase
        for phrase in load(CONTROLS, language).phrases
        if phrase.meaning in ("pause", "stop", "skip") and phrase.text not in words
    )
    return ActiveSet(question="controls", language=language, phrases=kept)


def _paused(language: str) -> ActiveSet:
    stop = tuple(p for p in load(CONTROLS, language).phrases if p.meaning == "stop")
    phrases = (*load("paused", language).phrases, *stop)
    return ActiveSet(question="paused", language=language, phrases=phrases)
