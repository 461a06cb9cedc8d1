"""A profile in use: with its own voice, and with another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.resample import resample
from voicecheck.speech.enrolment.fitting import FittedVoice, fit_voice
from voicecheck.speech.enrolment.network_view import (
    fingerprint,
    word_vector,
)
from voicecheck.speech.enrolment.own_voice import OwnVoice, enrolled_shares
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.enrolment.voice_vector import pitch_hz
from voicecheck.speech.enrolment.words import WordList, words_to_say
from voicecheck.speech.fusion import load_fusion
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice
from voicecheck.speech.witness import witnesses

OWN = Voice(name="en-us+f3", words_a_minute=150, pitch=60)
OTHER = Voice(name="en-gb-x-rp+m3", words_a_minute=150, pitch=20)
WORDS = ("good", "defect", "leak", "spill kit")
NEW = "spill kit"
"""A phrase that the network has no class for."""
WALK = words_to_say("en", WordList.SHORT)[:12]
"""What is said on a walk."""


@cache
def network() -> WordNetwork:
    """The shipped network."""
    return WordNetwork.load()


class Speaker:
    """Says words in a voice, at 16 kHz with a little around."""

    def __init__(self, synthesiser: Pyttsx3Synthesiser) -> None:
        self._synthesiser = synthesiser

    def say(self, word: str, voice: Voice, rate: int = 150) -> Frames:
        sound = self._synthesiser.speak_as(word, replace(voice, words_a_minute=rate))
        return resample(sound.frames, sound.rate_hz, RATE_HZ)


@pytest.fixture(scope="module")
def speaker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Speaker]:
    """The synthesiser."""
    with Pyttsx3Synthesiser(tmp_path_factory.mktemp("spoken")) as synthesiser:
        yield Speaker(synthesiser)


@pytest.fixture(scope="module")
def fitted(speaker: Speaker) -> FittedVoice:
    """Three examples of each word."""
    return enrolled(speaker, WORDS)


def enrolled(speaker: Speaker, words: Sequence[str]) -> FittedVoice:
    """Fit the own voice to three examples of each word."""
    return fit_voice(
        network(),
        [
            Example(phrase=word, frames=speaker.say(word, OWN, rate))
            for word in words
            for rate in (140, 150, 160)
        ],
    )


def trial(speaker: Speaker, word: str, voice: Voice) -> Frames:
    """A word at another rate, with faint noise around it."""
    frames = np.pad(speaker.say(word, voice, 155), 4_800)
    noise = np.random.default_rng(5).standard_normal(frames.size)
    return np.asarray(frames + 1e-3 * noise, dtype=np.float32)


@pytest.mark.parametrize("word", WORDS)
def test_enrolled_words_are_heard(
    speaker: Speaker, fitted: FittedVoice, word: str
) -> None:
    """Also a word of a site that the network never met."""
    vector = word_vector(network(), trial(speaker, word, OWN))
    found = enrolled_shares(network(), fitted, vector, frozenset(WORDS))

    assert max(found, key=found.__getitem__) == word
    assert sum(found.values()) == pytest.approx(1)


def test_the_shipped_layer_is_the_networks_own(speaker: Speaker) -> None:
    """Posteriors from pooled features equal those from the sound."""
    sound = trial(speaker, "good", OWN)
    active = frozenset({"good", "leak"})
    found = network().shares(word_vector(network(), sound), active)
    expected = network().posteriors(sound, active)

    assert found == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("words", "question", "counts"),
    [
        (("yes", "affirm", "good", "leak"), "yes_no", False),
        (("yes", "affirm", "good", "leak"), "severity", False),
        (("yes", "affirm", "good", "leak"), "condition", True),
        (("yes", "go back"), "yes_no", False),
        (("yes", "no"), "yes_no", True),
    ],
)
def test_a_profile_counts_where_it_tells_answers_apart(
    speaker: Speaker, words: tuple[str, ...], question: str, counts: bool
) -> None:
    """One that has only heard yes would take everything of this voice for yes."""
    voice = OwnVoice("kim", enrolled(speaker, words), network())
    active = active_set(question, "en")
    sound = trial(speaker, "no", OWN)
    impression = network().impression(sound)
    decodes = PocketSphinxRecogniser().decodes(sound, active)
    evidence = witnesses(network(), impression, decodes, sound, active)
    stranger = load_fusion().posterior(evidence)
    found = voice.weigh(sound, impression.pooled, evidence, stranger, active)

    assert (found != stranger) is counts


def test_another_voice_is_found_out_over_several_words(
    speaker: Speaker,
) -> None:
    """The own voice stays trusted; another loses trust, but not by one word."""
    profile = enrolled(speaker, WALK)
    own, other = (VoiceMatch(network(), profile) for _ in range(2))
    for match, voice in ((own, OWN), (other, OTHER)):
        for word in WALK:
            sound = trial(speaker, word, voice)
            likeness = match.compare(word, sound, word_vector(network(), sound))
            assert likeness is not None
            match.take(likeness)
            if match.words == 1:
                assert not match.is_mismatch

    assert own.trust > 0.9
    assert other.is_mismatch
    assert other.trust < 0.2


def test_pitch_of_a_pulse_train() -> None:
    """A train of pulses at 125 Hz has a pitch of 125 Hz; noise has none."""
    pulses = np.zeros(RATE_HZ // 2, np.float32)
    pulses[:: RATE_HZ // 125] = 1.0
    noise = np.random.default_rng(1).standard_normal(8_000).astype(np.float32)

    assert pitch_hz(pulses) == pytest.approx(125, rel=0.02)
    assert pitch_hz(noise) is None


def test_another_network_has_another_fingerprint() -> None:
    """One changed weight is enough."""
    arrays = {k: v.copy() for k, v in network().arrays.items()}
    arrays["last.bias"][0] += 1
    changed = replace(network(), arrays=arrays)
    other_body = replace(network(), fingerprint="0" * 64)

    assert fingerprint(changed) != fingerprint(network())
    assert fingerprint(other_body) != fingerprint(network())
