"""Words that are not the walk's are heard with weights of their own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from voicecheck.audio.frames import Frames
from voicecheck.learn.spoken.hearing import (
    PracticeRecogniser,
    for_practice,
    knows_words,
)
from voicecheck.speech.fusion import Witnesses, load_fusion
from voicecheck.speech.network.model import NOISE, OTHER
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import ActiveSet, Hypothesis, Phrase

SILENCE = np.zeros(16_000, np.float32)


@dataclass
class Ear:
    """Hears its own name in everything."""

    name: str
    language: str = "en"

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        return (Hypothesis(phrase=self.name, meaning=self.name, confidence=1.0),)


def asked(question: str) -> ActiveSet:
    """A set of one phrase at a question."""
    phrases = (Phrase(text="good", meaning="good"),)
    return ActiveSet(question=question, language="en", phrases=phrases)


@pytest.mark.parametrize(
    ("question", "hears"),
    [
        ("place", "places"),
        ("control", "places"),
        ("condition", "usual"),
        ("severity", "usual"),
        ("yes_no", "usual"),
        ("paused", "usual"),
    ],
)
def test_only_the_words_of_practice_are_weighed_otherwise(
    question: str, hears: str
) -> None:
    """The questions of a walk are heard as on a walk."""
    ear = PracticeRecogniser(Ear("usual"), Ear("places"))

    [found] = ear.recognise(SILENCE, asked(question))

    assert found.phrase == hears
    assert (ear.name, ear.language) == ("usual", "en")


def test_another_engine_serves_as_it_is() -> None:
    """Vosk hears places by itself; the pair gets a second set of weights."""
    vosk = Ear("vosk")

    assert for_practice(vosk) is vosk
    pair = PairedRecogniser()
    assert isinstance(for_practice(pair), PracticeRecogniser)
    assert for_practice(pair).name == pair.name


def test_who_knows_words_is_asked_else_the_dictionary() -> None:
    """An engine with a vocabulary of its own tells which words it knows."""

    class Knowing(Ear):
        def knows(self, word: str) -> bool:
            return word == "horn"

    knows = knows_words(Knowing("vosk"))

    assert knows is not None
    assert knows("horn") and not knows("boom")
    assert knows_words(Ear("pair")) is None


def evidence(decoded: str, behind: float) -> Witnesses:
    """What was made of speech that the network takes for none of its phrases.

    Args:
        decoded: by the grammar engine, of the raw and the denoised sound.
        behind: nats by which the likeliest name lies behind the free phones.
    """
    return Witnesses(
        shares={OTHER: 0.98, NOISE: 0.01, "repeat": 0.01},
        raw=decoded,
        clean=decoded,
        noisy=False,
        spoken={
            "teeth and their pins": behind,
            "cutting edge": behind - 26.0,
            "repeat": behind - 24.0,
        },
        phones={"teeth and their pins": 13, "cutting edge": 8, "repeat": 6},
        utterance_s=1.7,
    )


def test_a_name_strange_to_the_network_is_heard_all_the_same() -> None:
    """Grammar engine and phones are enough; where neither fits, it is doubted."""
    places = load_fusion("fusion-places")
    name = "teeth and their pins"

    said = places.posterior(evidence(name, behind=-4.0))
    not_said = places.posterior(evidence("", behind=-60.0))

    assert said[name] > 0.9
    assert max(not_said.values()) < 0.5
    assert "utterances" in places.provenance
