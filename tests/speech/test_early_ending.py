"""Looks during the wait, and what may end early."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest

from voicecheck.audio.activity import BLOCK_S, Endpointer, Speech
from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import BLOCK
from voicecheck.speech.early_ending import EarlyEnding, Recognised, is_complete
from voicecheck.speech.ports import ActiveSet, Hypothesis, Phrase

TEXTS = ("no", "not fitted", "stop", "stop the walk", "good")
ACTIVE = ActiveSet(
    question="condition",
    language="en",
    phrases=tuple(Phrase(text=text, meaning=text) for text in TEXTS),
)


class Loudness:
    """Takes loud blocks for speech."""

    def __init__(self, least: float = 0.2) -> None:
        """Set the peak from which a block is loud."""
        self._least = least

    def probability(self, block: Frames) -> Speech:
        """1 for a loud block."""
        return Speech(float(np.abs(block).max() > self._least))

    def reset(self) -> None:
        """Nothing is remembered."""


@dataclass
class Answers:
    """Hears one phrase after the other, the last again and again."""

    said: list[tuple[str, float]]
    name: str = "double"
    language: str = "en"
    given: list[int] = field(default_factory=list)

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Keep the length in blocks."""
        self.given.append(len(utterance) // BLOCK)
        text, confidence = self.said[min(len(self.given), len(self.said)) - 1]
        return (Hypothesis(phrase=text, meaning=text, confidence=confidence),)


def hear(
    script: str, *said: tuple[str, float], background: float = 0.001
) -> tuple[Recognised, int, Answers]:
    """Feed a block for each letter, x loud; return what ended, when, who heard it."""
    engine = Answers(list(said))
    early = EarlyEnding(engine, Endpointer(Loudness(0.2 + 2.5 * background)))
    rng = np.random.default_rng(1)
    for number, letter in enumerate(script):
        block = rng.normal(0, 0.2 if letter == "x" else background, BLOCK)
        found = early.accept(block.astype(np.float32), ACTIVE)
        if found is not None:
            return found, number, engine
    raise AssertionError("nothing ended")


WORD = "." * 20 + "x" * 10
SILENCE = "." * 20


def test_a_sure_word_takes_one_look_and_ends_at_once() -> None:
    """Looked at after three silent blocks, ended by the sixth."""
    found, number, engine = hear(WORD + SILENCE, ("good", 0.95))

    assert number == 29 + 6
    assert len(engine.given) == 1
    assert found.hypotheses[0].phrase == "good"
    assert found.utterance.ends_block == 29


def test_in_noise_a_sure_word_ends_sooner() -> None:
    """By the fourth silent block: the voice activity was late already."""
    found, number, engine = hear(WORD + SILENCE, ("good", 0.95), background=0.1)

    assert number == len(WORD) - 1 + 4
    assert len(engine.given) == 1
    assert found.hypotheses[0].phrase == "good"


def test_an_unsure_word_is_looked_at_again_with_all_its_background() -> None:
    """It waits its eleven blocks, and the second look stands."""
    found, number, engine = hear(WORD + SILENCE, ("good", 0.5), ("no", 0.6))

    assert number == 29 + 11
    assert engine.given[1] == engine.given[0] + 3
    assert len(engine.given) == 2
    assert found.hypotheses[0].phrase == "no"
    assert len(found.utterance.frames) == engine.given[1] * BLOCK


def test_what_is_sure_at_the_second_look_ends_there() -> None:
    """More background can settle it."""
    found, number, engine = hear(WORD + SILENCE, ("good", 0.5), ("good", 0.95))

    assert number == 29 + 6
    assert len(engine.given) == 2
    assert found.hypotheses[0].confidence == 0.95


def test_a_look_is_thrown_away_when_speech_goes_on() -> None:
    """ "No", a pause of four blocks, and more: what counts is the whole."""
    found, _, engine = hear(
        WORD + "...." + "x" * 10 + SILENCE, ("good", 0.99), ("not fitted", 0.95)
    )

    assert found.hypotheses[0].phrase == "not fitted"
    assert found.utterance.ends_block == 29 + 14
    assert len(engine.given) == 2


@pytest.mark.parametrize(
    ("said", "ends"),
    [("no", False), ("stop", False), ("stop the walk", True), ("not fitted", True)],
)
def test_the_beginning_of_a_longer_phrase_never_ends_early(
    said: str, ends: bool
) -> None:
    """ "Stop" may become "stop the walk", "no" may become "not fitted"."""
    _, number, _ = hear(WORD + SILENCE, (said, 0.99))

    assert number == 29 + (6 if ends else 11)


def test_a_number_is_never_complete() -> None:
    """Another digit may come."""
    heard = (Hypothesis(phrase="four five", meaning="45", confidence=0.99),)

    assert not is_complete(heard, ACTIVE, 0.9)
    assert not is_complete((), ACTIVE, 0.9)


def among_talkers(word: int, after: int, active: ActiveSet) -> tuple[int, int] | None:
    """Feed talk that never pauses, a word in it; when did it end, how long was it?"""
    early = EarlyEnding(Answers([("good", 0.95)]), Endpointer(Loudness()))
    rng = np.random.default_rng(3)
    levels = [0.12] * 40 + [0.6] * word + [0.12] * after
    for number, level in enumerate(levels):
        block = rng.normal(0, level, BLOCK).astype(np.float32)
        found = early.accept(block, active)
        if found is not None:
            return number, len(found.utterance.frames) // BLOCK
    return None


def test_among_talkers_an_utterance_ends_after_its_loud_part() -> None:
    """Their talk goes on: it is not waited for (8 s, and then too long)."""
    ended = among_talkers(16, 100, ACTIVE)

    assert ended is not None
    number, blocks = ended
    assert 40 + 16 + 18 < number < 2.5 / BLOCK_S + 30
    assert blocks == number + 1


def test_a_number_is_given_longer_among_talkers() -> None:
    """Its digits may be apart."""
    numbers = ActiveSet(
        question="number", language="en", phrases=ACTIVE.phrases, numbers=True
    )
    ended = among_talkers(16, 200, numbers)

    assert ended is not None
    assert ended[0] >= 5.0 / BLOCK_S - 12
