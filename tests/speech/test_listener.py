"""From blocks of a microphone to something heard."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest

from voicecheck.audio.activity import Endpointer, EndpointSettings, Speech
from voicecheck.audio.frames import Frames
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, NoInput, Phrase

ACTIVE = ActiveSet(
    question="condition",
    language="en",
    phrases=(Phrase(text="good", meaning="good"),),
)
NOISE = 0.001
VOICE = 0.1


class LevelActivity:
    """Takes loud blocks for speech."""

    def probability(self, block: Frames) -> Speech:
        """1 for a loud block."""
        return Speech(float(np.sqrt(np.mean(np.square(block))) > 0.02))

    def reset(self) -> None:
        """Nothing is remembered."""


@dataclass
class RecordingRecogniser:
    """Keeps what it was given, and always hears "good"."""

    name: str = "double"
    language: str = "en"
    given: list[Frames] = field(default_factory=list)

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Keep the utterance."""
        self.given.append(utterance)
        return (Hypothesis(phrase="good", meaning="good", confidence=0.9),)


def hiss(samples: int) -> Frames:
    """Faint steady noise."""
    rng = np.random.default_rng(samples)
    return rng.normal(0, NOISE, samples).astype(np.float32)


def voice(seconds: float) -> Frames:
    """Something loud."""
    rng = np.random.default_rng(1)
    return rng.normal(0, VOICE, round(seconds * 16_000)).astype(np.float32)


def listener_on(
    link: SimulatedLink, **settings: float
) -> tuple[Listener, RecordingRecogniser]:
    """A listener with doubles on a simulated link."""
    engine = RecordingRecogniser()
    endpointer = Endpointer(LevelActivity(), EndpointSettings(**settings))  # type: ignore[arg-type]
    return Listener(link, engine, endpointer), engine


def test_silence_until_the_timeout_is_no_input() -> None:
    """Nothing reaches the recogniser, and the time has passed."""
    link = SimulatedLink(hiss)
    listener, engine = listener_on(link)

    listened = listener.listen(ACTIVE, timeout_s=3.0)

    assert isinstance(listened, NoInput)
    assert engine.given == []
    assert 2.9 < link.clock.monotonic_s() < 3.5
    assert listened.noise_dbfs == pytest.approx(-60, abs=1)


def test_a_word_is_heard_with_its_times_and_ratio() -> None:
    """The beginning, the end and the speech-to-noise ratio are about right."""
    link = SimulatedLink(hiss)
    listener, engine = listener_on(link)
    link.say(voice(0.5), after_s=1.0)

    heard = listener.listen(ACTIVE, timeout_s=3.0)

    assert isinstance(heard, Heard)
    assert heard.started_s == pytest.approx(1.0, abs=0.07)
    assert heard.ended_s == pytest.approx(1.5, abs=0.07)
    assert heard.snr_db == pytest.approx(40, abs=3)
    assert 0.5 < len(engine.given[0]) / 16_000 < 1.2


def test_an_answer_that_begins_at_the_last_moment_is_heard_to_its_end() -> None:
    """The timeout ends waiting, not speaking."""
    link = SimulatedLink(hiss)
    listener, _ = listener_on(link)
    link.say(voice(1.0), after_s=1.8)

    assert isinstance(listener.listen(ACTIVE, timeout_s=2.0), Heard)


def test_speech_without_end_is_too_long_and_not_recognised() -> None:
    """Talkers who never stop give no answer."""
    link = SimulatedLink(hiss)
    listener, engine = listener_on(link, longest_s=2.0)
    link.say(voice(6.0), after_s=0.5)

    heard = listener.listen(ACTIVE, timeout_s=3.0)

    assert isinstance(heard, Heard)
    assert heard.too_long
    assert heard.hypotheses == ()
    assert engine.given == []


def test_what_was_said_before_listening_does_not_count() -> None:
    """Only the last quarter second before the tone ended still counts."""
    link = SimulatedLink(hiss)
    listener, engine = listener_on(link)
    link.say(voice(0.4), after_s=0.0)
    link.clock.advance(2.0)

    listened = listener.listen(ACTIVE, timeout_s=1.0, keep_s=0.25)

    assert isinstance(listened, NoInput)
    assert engine.given == []


def test_a_note_is_recorded_across_its_pauses() -> None:
    """Two sentences with a breath between them are one note."""
    link = SimulatedLink(hiss)
    listener, _ = listener_on(link)
    link.say(voice(1.0), after_s=0.5)
    link.say(voice(1.0), after_s=2.2)

    frames = listener.record(longest_s=20.0, timeout_s=3.0)

    assert 2.0 < len(frames) / 16_000 < 4.0


def test_no_note_is_an_empty_sound() -> None:
    """Nobody spoke: nothing is kept."""
    link = SimulatedLink(hiss)
    listener, _ = listener_on(link)

    assert len(listener.record(longest_s=20.0, timeout_s=1.0)) == 0


NUMBER = ActiveSet(
    question="number",
    language="en",
    phrases=(Phrase(text="cannot check", meaning="could_not_check"),),
    numbers=True,
)


@dataclass
class NumberRecogniser:
    """Hears a number in everything, or a phrase when it was told to."""

    phrase: str = ""
    confidence: float = 0.9
    name: str = "double"
    language: str = "en"
    given: list[Frames] = field(default_factory=list)

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Keep the utterance."""
        self.given.append(utterance)
        words, meaning = (
            self.phrase or "four",
            "could_not_check" if self.phrase else "4",
        )
        return (Hypothesis(phrase=words, meaning=meaning, confidence=self.confidence),)


def number_listener(engine: NumberRecogniser, *voices_s: float) -> tuple[Heard, float]:
    """What is heard of a voice with half a second's breath in it, and when."""
    link = SimulatedLink(hiss)
    begins_s = 1.0
    for seconds in voices_s:
        link.say(voice(seconds), after_s=begins_s)
        begins_s += seconds + 0.5
    listener = Listener(link, engine, Endpointer(LevelActivity()))
    heard = listener.listen(NUMBER, timeout_s=5.0)
    assert isinstance(heard, Heard)
    return heard, link.clock.monotonic_s()


def test_a_breath_inside_a_number_does_not_split_it() -> None:
    """Both halves reach the recogniser as one utterance, with the pause."""
    engine = NumberRecogniser()

    heard, _ = number_listener(engine, 0.6, 0.6)

    assert len(engine.given) == 2
    assert len(engine.given[1]) / 16_000 == pytest.approx(1.7 + 0.5, abs=0.15)
    assert heard.started_s == pytest.approx(1.0, abs=0.07)
    assert heard.ended_s == pytest.approx(2.7, abs=0.07)
    # the second half is not there for the next question
    assert heard.hypotheses[0].phrase == "four"


def test_three_parts_of_a_number_are_one_number() -> None:
    """Each breath gives the same patience again."""
    engine = NumberRecogniser()

    heard, _ = number_listener(engine, 0.4, 0.4, 0.4)

    assert heard.ended_s - heard.started_s == pytest.approx(2.2, abs=0.1)


def test_a_number_ends_after_a_longer_silence_without_a_second_decode() -> None:
    """0.8 s after the last word, and what was heard at 0.35 s stands."""
    engine = NumberRecogniser()

    heard, now_s = number_listener(engine, 0.6)

    assert len(engine.given) == 1
    assert heard.ended_s == pytest.approx(1.6, abs=0.07)
    assert now_s - 1.6 == pytest.approx(0.8, abs=0.1)


@pytest.mark.parametrize(
    ("confidence", "waits_s"), [(0.95, 0.19), (0.8, 0.35), (0.3, 0.8)]
)
def test_a_phrase_at_a_number_question_waits_only_when_unsure(
    confidence: float, waits_s: float
) -> None:
    """ "Cannot check" is complete; what only sounded a little like it may go on."""
    engine = NumberRecogniser(phrase="cannot check", confidence=confidence)

    _, now_s = number_listener(engine, 0.6)

    assert now_s - 1.6 == pytest.approx(waits_s, abs=0.1)


def test_a_whole_sure_word_ends_after_a_short_silence() -> None:
    """ "Good", heard surely, needs no more than 0.19 s."""
    link = SimulatedLink(hiss)
    listener, _ = listener_on(link)
    link.say(voice(0.5), after_s=1.0)

    listener.listen(ACTIVE, timeout_s=3.0)

    assert link.clock.monotonic_s() - 1.5 == pytest.approx(0.19, abs=0.07)
