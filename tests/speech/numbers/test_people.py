"""Numbers by people, in noise: what no synthetic voice can show."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from voicecheck.audio.frames import Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.dialogue.confirmation import Outcome, decide
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.paired_recogniser import PairedRecogniser

LOUD = 0.01
"""Of the loudest sample: what counts as speech for its level."""


@pytest.fixture(scope="module")
def recogniser() -> PairedRecogniser:
    """The usual one, for any voice."""
    return PairedRecogniser()


def over(kind: NoiseKind, frames: Frames, snr_db: float) -> Frames:
    """A person over noise."""
    loud = np.abs(frames) > LOUD * np.abs(frames).max()
    gain = np.sqrt(np.mean(np.square(frames[loud]))) * 10 ** (-snr_db / 20)
    rest = noise(kind, len(frames), np.random.default_rng(1))
    return np.asarray(frames + rest * np.float32(gain), dtype=np.float32)


@pytest.mark.parametrize(
    ("kind", "snr_db"),
    [
        (NoiseKind.PINK, 5),
        (NoiseKind.PINK, 0),
        (NoiseKind.IDLE, 5),
        (NoiseKind.IDLE, 0),
        (NoiseKind.WIND, 0),
        (NoiseKind.YARD, 0),
        (NoiseKind.ALARM, 5),
        (NoiseKind.BABBLE, 5),
        (NoiseKind.CRUSHER, 15),
    ],
)
def test_a_person_in_noise_is_understood(
    kind: NoiseKind,
    snr_db: float,
    recogniser: PairedRecogniser,
    person: Callable[[str], Frames],
) -> None:
    """The number comes first, and surely enough to be read back.

    Not so in crusher noise from 10 dB down: a bang over the first word made a three
    of the two, at 5 dB with 0.72.

    Source: pocketsphinx-testdata, test/data/tidigits/dhd.2934z.raw, one person
    saying "two nine three four zero".
    """
    sound = over(kind, person("tidigits/dhd.2934z.raw"), snr_db)

    heard = recogniser.recognise(sound, active_set("number", "en"))

    assert heard[0].meaning == "29340"
    assert decide(heard) is Outcome.ACCEPT


@pytest.mark.parametrize("name", ["goforward.raw", "something.raw"])
def test_a_person_who_says_no_number_says_none(
    name: str, recogniser: PairedRecogniser, person: Callable[[str], Frames]
) -> None:
    """The grammar engine alone finds five digits in each.

    Source: pocketsphinx-testdata, test/data: "go forward ten meters", and a
    sentence without a number.
    """
    heard = recogniser.recognise(person(name), active_set("number", "en"))

    assert decide(heard) is Outcome.REJECT
