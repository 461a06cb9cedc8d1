"""From the samples of a file to what may have been said in it."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.activity import Speech
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.ports import BLOCK
from voicecheck.speech.file_listener import AFTER_BLOCKS, BEFORE_BLOCKS, FileListener
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.ports import ActiveSet, Hypothesis

CONDITION = active_set("condition", "en")


class Loudness:
    """An activity that takes anything loud for speech."""

    def __init__(self, least_rms: float = 0.02) -> None:
        self._least_rms = least_rms

    def probability(self, block: Frames) -> Speech:
        """1 for a loud block, else 0."""
        return Speech(float(np.sqrt(np.mean(np.square(block))) > self._least_rms))

    def reset(self) -> None:
        """Nothing is remembered."""


class Script:
    """A recogniser that gives what it was told, and keeps what it was given."""

    name = "script"
    language = "en"

    def __init__(self, *confidences: float | None) -> None:
        self._answers = list(confidences)
        self.given: list[Frames] = []

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Give each utterance its answer, however often it is looked at."""
        assert active is CONDITION
        last = self.given[-1] if self.given else utterance
        grown = len(utterance) > len(last)
        if grown and np.array_equal(last[: RATE_HZ // 5], utterance[: RATE_HZ // 5]):
            self.given.pop()
        self.given.append(utterance)
        number = len(self.given)
        confidence = self._answers[number - 1]
        if confidence is None:
            return ()
        said = f"number {number}"
        return (Hypothesis(phrase=said, meaning=said, confidence=confidence),)


def tone(seconds: float, amplitude: float = 0.3) -> Frames:
    """Something loud."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    wave = amplitude * np.sin(2 * np.pi * 440 * time_s)
    return wave.astype(np.float32)


def hiss(seconds: float, level_dbfs: float) -> Frames:
    """Background at a level."""
    rng = np.random.default_rng(5)
    made = noise(NoiseKind.IDLE, round(seconds * RATE_HZ), rng)
    return np.asarray(made * 10 ** (level_dbfs / 20), dtype=np.float32)


def in_hiss(*sounds: Frames, level_dbfs: float = -45.0) -> Frames:
    """Sounds with background before, between and after, and under them."""
    pieces: list[Frames] = []
    for sound in sounds:
        pieces += [np.zeros(round(0.8 * RATE_HZ), np.float32), sound]
    pieces.append(np.zeros(round(0.8 * RATE_HZ), np.float32))
    whole = np.concatenate(pieces)
    return whole + hiss(len(whole) / RATE_HZ + 1, level_dbfs)[: len(whole)]


def test_a_bare_word_is_heard_whole() -> None:
    """Background is put around it, and all of the word is in the utterance."""
    word = tone(0.6)
    script = Script(0.9)

    heard = FileListener(script, Loudness()).hear(word, CONDITION)

    assert heard.utterances == 1
    assert heard.hypotheses[0].confidence == 0.9
    [given] = script.given
    loud = np.square(given) > 1e-4
    assert loud.sum() == pytest.approx((np.square(word) > 1e-4).sum(), rel=0.01)
    assert len(given) > len(word) + 0.3 * RATE_HZ


def test_no_zeros_stand_around_a_word() -> None:
    """Not even digital silence: a recogniser hears words between zeros."""
    script = Script(0.9)
    FileListener(script, Loudness()).hear(tone(0.6), CONDITION)

    [given] = script.given
    edge = given[: RATE_HZ // 10]
    assert np.count_nonzero(edge) > 0.99 * len(edge)
    assert rms_level_dbfs(edge) == pytest.approx(-60, abs=3)


def test_the_background_is_like_the_files_own() -> None:
    """Level within 3 dB, so that the edge of the file is no event of its own."""
    frames = in_hiss(tone(0.5), level_dbfs=-42.0)
    listener = FileListener(Script(0.9), Loudness())

    surrounded = listener._surrounded(frames)

    before = surrounded[: BEFORE_BLOCKS * BLOCK]
    after = surrounded[-AFTER_BLOCKS * BLOCK :]
    assert rms_level_dbfs(before) == pytest.approx(-42, abs=3)
    assert rms_level_dbfs(after) == pytest.approx(-42, abs=3)


class Startled(Loudness):
    """An activity that takes the first blocks of anything for speech."""

    def __init__(self) -> None:
        super().__init__()
        self._seen = 0

    def probability(self, block: Frames) -> Speech:
        """1 for the first six blocks, then as it should be."""
        self._seen += 1
        return Speech(1.0) if self._seen <= 6 else super().probability(block)

    def reset(self) -> None:
        """Be startled again."""
        self._seen = 0


def test_what_is_put_around_a_file_is_never_an_utterance() -> None:
    """Even when the activity takes that background for speech."""
    script = Script(0.9)

    heard = FileListener(script, Startled()).hear(tone(0.6), CONDITION)

    assert heard.utterances == 1
    [given] = script.given
    assert np.max(np.abs(given)) > 0.2


def test_nothing_said_is_nothing_heard() -> None:
    """Background alone reaches no recogniser."""
    script = Script()

    heard = FileListener(script, Loudness()).hear(hiss(3.0, -60), CONDITION)

    assert (heard.hypotheses, heard.utterances, script.given) == ((), 0, [])


@pytest.mark.parametrize("samples", [1, 100, 511, 512, 513])
def test_a_file_of_next_to_nothing_is_no_trouble(samples: int) -> None:
    """Down to one sample."""
    heard = FileListener(Script(), Loudness()).hear(
        np.zeros(samples, np.float32), CONDITION
    )

    assert heard.utterances == 0


def test_of_several_utterances_the_most_confident_counts() -> None:
    """Wherever it stands in the file."""
    frames = in_hiss(tone(0.4), tone(0.4), tone(0.4))
    script = Script(0.3, 0.8, None)

    heard = FileListener(script, Loudness()).hear(frames, CONDITION)

    assert heard.utterances == 3
    assert heard.hypotheses[0].phrase == "number 2"


def test_of_equals_the_first_counts() -> None:
    """The order of the file decides."""
    frames = in_hiss(tone(0.4), tone(0.4))

    heard = FileListener(Script(0.5, 0.5), Loudness()).hear(frames, CONDITION)

    assert heard.hypotheses[0].phrase == "number 1"


def test_speech_without_end_is_no_answer() -> None:
    """What lasts longer than an answer is cut off; what is left counts for nothing."""
    script = Script(0.9)

    heard = FileListener(script, Loudness()).hear(tone(8.2), CONDITION)

    assert heard.utterances >= 1
    assert heard.hypotheses == ()


def test_a_word_after_speech_without_end_counts() -> None:
    """A pause makes it an utterance of its own; without one it is the same speech."""
    script = Script(0.95, 0.8)

    heard = FileListener(script, Loudness()).hear(
        in_hiss(tone(8.6), tone(0.4)), CONDITION
    )

    assert [h.confidence for h in heard.hypotheses] == [0.8]


def test_a_soft_file_is_turned_up() -> None:
    """By at most 20 dB, so that a faint voice is noticed and silence stays silence."""
    script = Script(0.9)
    listener = FileListener(script, Loudness())

    heard = listener.hear(tone(0.5, amplitude=0.01), CONDITION)

    assert heard.utterances == 1
    assert np.max(np.abs(script.given[0])) == pytest.approx(0.1, rel=0.05)
    assert listener.hear(tone(0.5, amplitude=0.001), CONDITION).utterances == 0


def test_the_same_file_gives_the_same_sound_each_time() -> None:
    """No chance is left in it."""
    first, second = Script(0.9), Script(0.9)
    frames = in_hiss(tone(0.4))
    FileListener(first, Loudness()).hear(frames, CONDITION)
    FileListener(second, Loudness()).hear(frames, CONDITION)

    np.testing.assert_array_equal(first.given[0], second.given[0])


def test_one_file_leaves_no_trace_in_the_next() -> None:
    """A listener can hear many files."""
    script = Script(0.9, 0.7)
    listener = FileListener(script, Loudness())
    listener.hear(tone(0.6), CONDITION)

    heard = listener.hear(tone(0.6), CONDITION)

    assert heard.utterances == 1
    np.testing.assert_array_equal(script.given[0], script.given[1])


def test_a_breath_inside_a_number_does_not_split_a_file() -> None:
    """Half a second between digits is one number; between words it is two."""
    listener = FileListener(Script(), Loudness())
    number = np.concatenate([tone(0.5), hiss(0.5, -60), tone(0.5)])
    frames = in_hiss(number)

    assert len(listener.utterances(frames)) == 2
    assert len(listener.utterances(frames, numbers=True)) == 1
