"""A walk gets used to a strange voice, by what was surely heard only."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.resample import resample
from voicecheck.errors import ModelError
from voicecheck.speech.enrolment import acquaintance
from voicecheck.speech.enrolment.acquaintance import (
    MOST_OF_A_WORD,
    Acquaintance,
    GrowingVoice,
)
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice

VOICE = Voice(name="en-us+f3", words_a_minute=150, pitch=60)
CONDITION = active_set("condition", "en")


@cache
def network() -> WordNetwork:
    """The shipped network."""
    return WordNetwork.load()


@pytest.fixture(scope="module")
def synthesiser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """What speaks."""
    with Pyttsx3Synthesiser(tmp_path_factory.mktemp("spoken")) as speaker:
        yield speaker


@pytest.fixture(scope="module")
def spoken(synthesiser: Pyttsx3Synthesiser) -> dict[str, Frames]:
    """Words of one voice, with faint noise around them."""
    rng = np.random.default_rng(5)
    made = {}
    for word in ("good", "defect", "leak", "yes"):
        sound = synthesiser.speak_as(word, VOICE)
        frames = np.pad(resample(sound.frames, sound.rate_hz, RATE_HZ), 4_800)
        made[word] = np.asarray(
            frames + 1e-3 * rng.standard_normal(frames.size), np.float32
        )
    return made


def example(spoken: dict[str, Frames], word: str) -> Example:
    """One example of a word."""
    return Example(phrase=word, frames=spoken[word])


class Walk:
    """Plays answers to an acquaintance, as the dialogue tells of them."""

    def __init__(self, spoken: dict[str, Frames]) -> None:
        self._spoken = spoken
        self.used = Acquaintance(PairedRecogniser(network=network()), at_once=True)

    def says(self, word: str, question: str = "condition", outcome: str = "") -> None:
        """Something is heard, and accepted or not."""
        self.used.watch("listening", {"question": question})
        active = active_set(question, "en")
        found = self.used.recogniser.recognise(self._spoken[word], active)
        phrase = found[0].phrase if found else None
        data = {"phrase": phrase, "outcome": outcome or "accept"}
        self.used.watch("heard", data)

    def answer(self, name: str, point: str, confirmed: str = "explicit") -> None:
        """The answer is kept."""
        data = {"checkpoint": point, "value": {"answer": name}, "confirmed": confirmed}
        self.used.watch("answer", data)


def learned(walk: Walk) -> frozenset[str]:
    """Return the words that count when the next one is heard."""
    walk.says("good", outcome="reject")
    return walk.used.voice.phrases


def test_confirmed_answers_and_their_yes_are_learned(
    spoken: dict[str, Frames],
) -> None:
    """From the next word on; what is taken back leaves again."""
    walk = Walk(spoken)
    assert learned(walk) == frozenset()

    walk.says("defect")
    walk.says("yes", "yes_no")
    walk.answer("defect", "a")
    assert learned(walk) == {"defect", "yes"}
    walk.says("leak")
    walk.answer("leak", "b")
    assert learned(walk) == {"defect", "yes", "leak"}

    walk.used.watch("withdrawn", {"checkpoint": "a"})
    assert learned(walk) == {"yes", "leak"}


def test_a_voice_of_which_all_is_taken_back_is_strange_again(
    spoken: dict[str, Frames], caplog: pytest.LogCaptureFixture
) -> None:
    """The one example that it was fitted to counts no more."""
    walk = Walk(spoken)
    walk.says("defect")
    walk.answer("defect", "a")
    assert learned(walk) == {"defect"}
    walk.used.watch("withdrawn", {"checkpoint": "a"})

    assert learned(walk) == frozenset()
    assert caplog.text == ""


def test_what_was_refused_is_not_learned(spoken: dict[str, Frames]) -> None:
    """Neither what was not taken, nor what the answer does not hold."""
    walk = Walk(spoken)
    walk.says("defect", outcome="reject")
    walk.answer("good", "a")
    walk.says("leak")
    walk.answer("good", "b")

    assert learned(walk) == frozenset()


def test_a_word_is_learned_a_few_times_only(
    spoken: dict[str, Frames], monkeypatch: pytest.MonkeyPatch
) -> None:
    """More of the same word changes nothing and costs no fit."""
    fits: list[int] = []
    real = acquaintance.fit_heard

    def counted(net: WordNetwork, heard: Any, rounds: int) -> Any:
        fits.append(len(heard))
        return real(net, heard, rounds)

    monkeypatch.setattr(acquaintance, "fit_heard", counted)
    voice = GrowingVoice(network())
    examples = [example(spoken, "good") for _ in range(MOST_OF_A_WORD + 3)]
    for count in range(1, len(examples) + 1):
        voice.learn(examples[:count])

    assert fits == list(range(1, MOST_OF_A_WORD + 1))


def test_learning_beside_the_walk_comes_to_the_same(
    spoken: dict[str, Frames],
) -> None:
    """The walk never waits for it; the newest fit that is ready counts."""
    examples = [example(spoken, word) for word in ("good", "defect", "leak")]
    with ThreadPoolExecutor(1) as executor:
        beside = GrowingVoice(network(), executor)
        beside.learn(examples[:1])
        beside.learn(examples)
    waited = GrowingVoice(network())
    waited.learn(examples)
    sound = spoken["leak"]

    found = [
        PairedRecogniser(network=network(), profile=voice).recognise(sound, CONDITION)
        for voice in (beside, waited)
    ]

    assert beside.phrases == waited.phrases == {"good", "defect", "leak"}
    assert found[0][0].phrase == found[1][0].phrase == "leak"
    assert found[0][0].confidence == pytest.approx(found[1][0].confidence, abs=0.02)


@pytest.mark.parametrize("beside", [True, False])
def test_what_goes_wrong_in_learning_does_not_end_the_walk(
    beside: bool,
    spoken: dict[str, Frames],
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """The voice is heard as a stranger's, and the log says why."""

    def fails(*_: object, **__: object) -> None:
        raise ModelError("no background")

    monkeypatch.setattr(acquaintance, "fit_heard", fails)
    with ThreadPoolExecutor(1) as executor:
        voice = GrowingVoice(network(), executor if beside else None)
        voice.learn([example(spoken, "good")])
    recogniser = PairedRecogniser(network=network(), profile=voice)

    assert recogniser.recognise(spoken["good"], CONDITION)[0].phrase == "good"
    assert voice.phrases == frozenset()
    assert "no background" in caplog.text


def test_the_map_of_the_walk_expects_the_same_voice(
    spoken: dict[str, Frames],
) -> None:
    """Few examples of a word: its speaker is trusted after some of them."""
    voice = GrowingVoice(network())
    voice.learn([example(spoken, word) for word in ("good", "defect", "leak")])
    recogniser = PairedRecogniser(network=network(), profile=voice)
    for word in ("good", "defect", "leak") * 3:
        recogniser.recognise(spoken[word], CONDITION)

    assert voice.in_use
