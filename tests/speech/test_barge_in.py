"""Answers over a prompt, in the simulated yard with a real voice activity network."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import Sound
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.demo.yard import OPERATOR_VOICES, spoken
from voicecheck.speech.barge_in import BargeIn
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

ACTIVE = active_set("condition", "en")
RECORDINGS = Path(__file__).parent / "recordings"
TEXT = "Tyre, left front, all of the tread and the side wall?"


class Trusting:
    """Takes any sound at all for a sure "good", and keeps it."""

    name = "trusting"
    language = "en"

    def __init__(self) -> None:
        self.given: list[Frames] = []

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Hear "good"."""
        self.given.append(utterance)
        return (Hypothesis(phrase="good", meaning="good", confidence=0.99),)


@pytest.fixture(scope="module")
def voice() -> Pyttsx3Synthesiser:
    """The synthesiser of prompts and operator."""
    return Pyttsx3Synthesiser()


class Yard:
    """A yard in which what is played comes back at some level."""

    def __init__(self, leak_db: float | None) -> None:
        rng = np.random.default_rng(3)
        self.link = SimulatedLink(
            lambda n: rng.normal(0, 3e-4, n).astype(np.float32), leak_db=leak_db
        )
        self.recogniser = Trusting()
        listener = Listener(self.link, self.recogniser, Endpointer(SileroActivity()))
        self.barge_in = BargeIn(self.link, listener)

    def ask(self, prompt: Sound, text: str = TEXT) -> Heard | None:
        """Say the prompt."""
        return self.barge_in.play(prompt, text, ACTIVE)


@pytest.mark.parametrize("leak_db", [-50.0, -40.0, -30.0, -20.0, -10.0, 0.0])
def test_the_prompt_that_comes_back_is_never_taken(
    voice: Pyttsx3Synthesiser, leak_db: float
) -> None:
    """At no level is the prompt an answer, nor does it stop itself."""
    yard = Yard(leak_db)

    heard = yard.ask(voice.speak(TEXT, "en"))

    assert heard is None
    assert yard.recogniser.given == []
    assert not yard.barge_in.cut_short


def recorded(name: str) -> Sound:
    """What the synthesiser once spoke.

    On a busy computer its engine writes nothing at first, and speaks a little
    differently when it is asked again; in some renderings the prompt that comes
    back opens the utterance 0.2 s before the word.
    """
    frames, rate_hz = soundfile.read(RECORDINGS / f"{name}.flac", dtype="float32")
    return Sound(frames, rate_hz)


@pytest.mark.parametrize("leak_db", [None, -50.0, -40.0, -30.0])
def test_an_answer_over_the_prompt_is_heard_whole(leak_db: float | None) -> None:
    """The prompt stops within half a second; no sample of the word is lost."""
    yard, prompt = Yard(leak_db), recorded("tyre-question")
    word = recorded("defect").frames
    yard.link.say(word, 0.8)

    heard = yard.ask(prompt)

    assert heard is not None
    assert heard.barge_in
    assert yard.barge_in.cut_short
    assert heard.started_s == pytest.approx(0.8, abs=0.15)
    assert yard.link.played_s < min(prompt.seconds, 0.8 + 0.6)
    assert len(yard.recogniser.given[0]) >= len(word) * 0.9


def test_a_bang_stops_nothing(voice: Pyttsx3Synthesiser) -> None:
    """A tenth of a second of noise is no speech."""
    yard = Yard(None)
    bang = np.random.default_rng(5).normal(0, 0.3, 1_600).astype(np.float32)
    yard.link.say(bang, 0.6)

    assert yard.ask(voice.speak(TEXT, "en")) is None
    assert not yard.barge_in.cut_short


def test_a_phrase_of_the_prompt_is_no_answer(voice: Pyttsx3Synthesiser) -> None:
    """What the prompt names cannot be told from the prompt."""
    yard = Yard(None)
    yard.link.say(spoken(voice, "good", OPERATOR_VOICES["en"][2]), 0.8)

    assert yard.ask(voice.speak(TEXT, "en"), "Is it good?") is None
