"""A spoken yes that counts: heard surely, to the question that was asked."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.ports import Sound
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.clock import ManualClock
from voicecheck.defects.wording import HoldWording
from voicecheck.demo.yard import OPERATOR_VOICES, OperatorVoice, background
from voicecheck.dialogue.spoken_yes import TRIES, SpokenYes
from voicecheck.speech.engines import make_recogniser
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, Listened, NoInput
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.testing.scripted_talk import SURE

Said = tuple[str, float] | None
"""A phrase and its confidence; None: silence."""


class Link:
    """A loudspeaker that takes no time."""

    clock = ManualClock()

    def play(self, sound: Sound) -> None:
        """Take it."""
        assert sound.seconds > 0


class Voice:
    """Remembers what it spoke."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def speak(self, text: str, language: str) -> Sound:
        """Return a moment of silence."""
        self.said.append(text)
        return Sound(np.zeros(RATE_HZ // 10, np.float32), RATE_HZ)


class Ear:
    """Hears what a script says, then silence."""

    def __init__(self, *script: Said) -> None:
        self.script = list(script)
        self.listened = 0

    def listen(self, active: ActiveSet, timeout_s: float, keep_s: float) -> Listened:
        """Return the next of the script."""
        self.listened += 1
        said = self.script.pop(0) if self.script else None
        if said is None:
            return NoInput(waited_s=timeout_s, noise_dbfs=-60.0)
        phrase = active.phrase(said[0])
        found = () if phrase is None else (phrase,)
        return Heard(
            hypotheses=tuple(
                Hypothesis(
                    phrase=one.text,
                    meaning=one.meaning,
                    confidence=said[1],
                    control=one.control,
                )
                for one in found
            ),
            started_s=0.0,
            ended_s=0.5,
            noise_dbfs=-60.0,
            snr_db=20.0,
        )


def asked(*script: Said) -> tuple[bool, Voice, Ear]:
    """Ask one question; return whether yes was heard, what was said, the ear."""
    voice, ear = Voice(), Ear(*script)
    ask = SpokenYes(Link(), ear, voice, "en", again="Yes or no?")  # type: ignore[arg-type]
    return ask("Release it?"), voice, ear


@pytest.mark.parametrize(
    ("script", "yes", "questions"),
    [
        ([("yes", SURE)], True, 1),
        ([("no", SURE)], False, 1),
        ([("no", 0.2)], False, 1),
        ([("go back", SURE)], False, 1),
        ([("yes", 0.7)], False, TRIES),
        ([("yes", 0.7), ("yes", SURE)], True, 2),
        ([("weather", SURE), ("yes", SURE)], True, 2),
        ([], False, TRIES),
        ([None, None, ("yes", SURE)], True, 3),
        ([None, None, None, ("yes", SURE)], False, TRIES),
    ],
    ids=[
        "yes",
        "no",
        "a doubtful no",
        "back",
        "a doubtful yes",
        "a doubtful yes, then a sure one",
        "chatter, then yes",
        "silence",
        "yes at the last try",
        "yes too late",
    ],
)
def test_only_a_sure_yes_counts(
    script: list[Said], *, yes: bool, questions: int
) -> None:
    """Whatever else happens leaves things as they are."""
    got, voice, _ = asked(*script)

    assert got is yes
    assert len(voice.said) == questions
    assert voice.said[1:] == ["Yes or no?"] * (questions - 1)


def test_the_whole_question_is_repeated_on_request() -> None:
    """It names the machine: a short one would not do."""
    got, voice, _ = asked(("repeat", SURE), ("yes", SURE))

    assert got
    assert voice.said == ["Release it?", "Release it?"]


def test_through_sound(tmp_path: Path) -> None:
    """A voice in the simulated yard at 15 dB, heard by the usual recogniser."""
    recogniser = make_recogniser("en")
    at = HoldWording("en")
    answers = []
    with Pyttsx3Synthesiser(tmp_path) as synthesiser:
        for word in ("yes", "no"):
            noise = background(NoiseKind.YARD, 15.0, np.random.default_rng(3))
            link = SimulatedLink(noise)
            voice = OperatorVoice(link, synthesiser, OPERATOR_VOICES["en"][0])
            ear = Listener(link, recogniser, Endpointer(SileroActivity()))
            answered = _Answered(ear, voice, word)
            ask = SpokenYes(
                link,
                answered,  # type: ignore[arg-type]
                synthesiser,
                "en",
                again=at.say("ask_again"),
            )
            answers.append(ask(at.say("ask_sure", unit="L-12", by="C.Poe")))

    assert answers == [True, False]


class _Answered:
    """A listener, and somebody who answers when it begins to listen."""

    def __init__(self, ear: Listener, voice: OperatorVoice, word: str) -> None:
        self._ear = ear
        self._voice = voice
        self._word = word
        self._tries = 0

    def listen(self, active: ActiveSet, timeout_s: float, keep_s: float) -> Listened:
        """Say the word half a second later, and listen."""
        self._tries += 1
        self._voice(self._word, 0.5, self._tries)
        return self._ear.listen(active, timeout_s, keep_s)
