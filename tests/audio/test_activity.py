"""Where an utterance begins and ends."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.activity import (
    BLOCK_S,
    Endpointer,
    EndpointSettings,
    SileroActivity,
    Speech,
    Utterance,
)
from voicecheck.audio.frames import Frames
from voicecheck.audio.mixing import mix_at_snr
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.ports import BLOCK


class Scripted:
    """Activity that says what it was told to, block by block."""

    def __init__(self, probabilities: list[float]) -> None:
        self._left = list(probabilities)

    def probability(self, block: Frames) -> Speech:
        """Return the next of the list, then silence."""
        return Speech(self._left.pop(0) if self._left else 0.0)

    def reset(self) -> None:
        """Nothing is remembered."""


def block(number: int) -> Frames:
    """A block that can be told from every other one."""
    return np.full(BLOCK, number / 1000, np.float32)


def run(probabilities: list[float], **settings: float) -> list[Utterance]:
    """Feed as many blocks as there are probabilities; return what ended."""
    endpointer = Endpointer(Scripted(probabilities), EndpointSettings(**settings))  # type: ignore[arg-type]
    found = [endpointer.accept(block(n)) for n in range(len(probabilities))]
    return [utterance for utterance in found if utterance is not None]


def test_one_word_is_cut_out_with_background_around_it() -> None:
    """The utterance holds the speech and a little of what surrounds it."""
    probabilities = [0.0] * 20 + [0.9] * 12 + [0.0] * 20

    (utterance,) = run(probabilities)

    assert utterance.begins_block == 20
    assert utterance.ends_block == 31
    first = round(float(utterance.frames[0]) * 1000)
    last = round(float(utterance.frames[-1]) * 1000)
    assert 8 <= first < 20
    assert 31 < last <= 31 + 7


def test_a_click_is_no_utterance() -> None:
    """One block of activity alone begins nothing."""
    assert run([0.0] * 10 + [0.9] + [0.0] * 30) == []


def test_speech_shorter_than_the_shortest_word_is_dropped() -> None:
    """Two blocks of speech are no word."""
    assert run([0.0] * 10 + [0.9] * 2 + [0.0] * 30, shortest_s=0.1) == []


def test_endless_speech_is_cut_and_marked() -> None:
    """Babble that never ends comes out as too long."""
    (utterance, *_) = run([0.9] * 100, longest_s=2.0)

    assert utterance.too_long


def test_two_words_come_out_one_by_one() -> None:
    """A second word after the first has ended is an utterance of its own."""
    word = [0.9] * 8
    gap = [0.0] * 16

    assert len(run([*gap, *word, *gap, *word, *gap])) == 2


@given(st.lists(st.floats(0.0, 1.0), max_size=200))
def test_no_block_is_used_twice_and_none_is_made_up(values: list[float]) -> None:
    """Utterances are made of whole blocks in order, and never overlap in speech."""
    last_end = -1
    for utterance in run(values):
        numbers = np.round(utterance.frames[::BLOCK] * 1000).astype(int)
        assert len(utterance.frames) % BLOCK == 0
        assert list(numbers) == list(range(numbers[0], numbers[-1] + 1))
        assert last_end < utterance.begins_block <= utterance.ends_block
        last_end = utterance.ends_block


@pytest.mark.parametrize(
    "kind", [NoiseKind.PINK, NoiseKind.IDLE, NoiseKind.WIND, NoiseKind.CRUSHER]
)
def test_steady_noise_is_no_speech(kind: NoiseKind) -> None:
    """The real network takes machine noise for what it is, most of the time."""
    activity = SileroActivity()
    sound = noise(kind, BLOCK * 150, np.random.default_rng(3)) * np.float32(0.05)

    speech = [max(activity.probability(b)) > 0.5 for b in sound.reshape(-1, BLOCK)]

    assert np.mean(speech) < 0.1


@pytest.mark.parametrize("kind", [NoiseKind.PINK, NoiseKind.IDLE, NoiseKind.WIND])
@pytest.mark.parametrize("name", ["tidigits/dhd.2934z.raw", "goforward.raw"])
def test_a_person_5_db_below_the_noise_is_noticed(
    person: Callable[[str], Frames], kind: NoiseKind, name: str
) -> None:
    """Most of what was said is heard, hardly less than by the sound as it is, which
    hears the silences behind the words too.

    Source: pocketsphinx-testdata, test/data, two recordings of people.
    """
    speech = np.pad(person(name), 16_000)
    sound = mix_at_snr(speech, noise(kind, len(speech), np.random.default_rng(4)), -5)

    spoken = np.count_nonzero(np.abs(speech) > 0.1 * np.abs(speech).max())
    assert heard_samples(sound, SileroActivity()) > spoken
    as_it_is = heard_samples(sound, AsItIs())
    assert heard_samples(sound, SileroActivity()) >= 0.85 * as_it_is


class AsItIs(SileroActivity):
    """The sound as it is only."""

    def probability(self, block: Frames) -> Speech:
        """Leave the denoised sound out."""
        return Speech(super().probability(block).heard)


def heard_samples(sound: Frames, activity: SileroActivity) -> int:
    """How much of the sound is in utterances."""
    endpointer = Endpointer(activity)
    blocks = sound[: len(sound) // BLOCK * BLOCK].reshape(-1, BLOCK)
    ended = [endpointer.accept(block) for block in blocks]
    return sum(len(u.frames) for u in ended if u is not None)


def test_a_block_lasts_32_milliseconds() -> None:
    """What the network was trained on: 512 samples at 16 kHz."""
    assert pytest.approx(0.032) == BLOCK_S


def test_a_resumed_utterance_holds_what_is_said_after_the_pause() -> None:
    """In order, from one beginning to the new end, and only once."""
    script = [0.0] * 20 + [0.9] * 10 + [0.0] * 15 + [0.9] * 10 + [0.0] * 30
    endpointer = Endpointer(Scripted(script))
    found = []
    for number in range(len(script)):
        utterance = endpointer.accept(block(number))
        if utterance is not None:
            found.append(utterance)
        if len(found) == 1 and utterance is not None:
            endpointer.resume(utterance)

    first, whole = found
    assert (first.begins_block, first.ends_block) == (20, 29)
    assert (whole.begins_block, whole.ends_block) == (20, 54)
    numbers = np.round(whole.frames[::BLOCK] * 1000).astype(int)
    assert list(numbers) == list(range(numbers[0], numbers[-1] + 1))
    assert numbers[0] < 20
    assert numbers[-1] >= 54
    assert not endpointer.speaking


def test_patience_is_short_again_after_a_resumed_utterance() -> None:
    """The longer silence belongs to one utterance."""
    word, gap = [0.9] * 10, [0.0] * 30
    script = [*gap, *word, *gap, *word, *[0.0] * 12]
    endpointer = Endpointer(Scripted(script), EndpointSettings(end_in_noise_s=0.35))
    ends = []
    for number in range(len(script)):
        utterance = endpointer.accept(block(number))
        if utterance is not None:
            ends.append(number - utterance.ends_block)
        if len(ends) == 1 and utterance is not None:
            endpointer.resume(utterance)

    assert ends == [11, 25, 11]


def blocks_of(levels: list[float]) -> list[Frames]:
    """Noise of these levels, a block each."""
    rng = np.random.default_rng(5)
    return [rng.normal(0, rms, BLOCK).astype(np.float32) for rms in levels]


class Told:
    """Says what it is told to say of each block."""

    def __init__(self, script: list[Speech]) -> None:
        """Keep it."""
        self._left = list(script)

    def probability(self, block: Frames) -> Speech:
        """Return the next of the script, then silence."""
        return self._left.pop(0) if self._left else Speech(0.0)

    def reset(self) -> None:
        """Nothing is remembered."""


def heard_of(script: list[Speech], levels: list[float]) -> list[tuple[int, int]]:
    """First and last block of the utterances."""
    endpointer = Endpointer(Told(script))
    ended = [endpointer.accept(block) for block in blocks_of(levels)]
    return [(u.begins_block, u.ends_block) for u in ended if u is not None]


FAINT, LOUD = 0.01, 0.02
BEFORE, WORD, AFTER = 20, 12, 30
HELD = 4


def told(word: Speech, tail: Speech) -> list[Speech]:
    """A word, a tail, and silence around."""
    quiet = Speech(0.0, 0.0)
    return [quiet] * BEFORE + [word] * WORD + [tail] * HELD + [quiet] * AFTER


def levels(word: float) -> list[float]:
    """A word of this level in faint noise."""
    return [FAINT] * BEFORE + [word] * WORD + [FAINT] * (HELD + AFTER)


def test_a_word_that_only_the_denoised_sound_shows_is_heard() -> None:
    """At 0 dB the network often gives the sound as it is a hint at most."""
    found = heard_of(told(Speech(0.05, 0.9), Speech(0.0, 0.0)), levels(LOUD))

    assert found == [(BEFORE, BEFORE + WORD - 1)]


def test_speech_in_denoised_noise_without_a_hint_of_it_before_is_none() -> None:
    """What suppression makes of a whine may sound like a voice."""
    assert heard_of(told(Speech(0.005, 0.95), Speech(0.0)), levels(LOUD)) == []


def test_in_noise_the_denoised_sound_says_where_a_word_ends() -> None:
    """There the levels say nothing, and the sound as it is little."""
    script = told(Speech(0.8, 0.9), Speech(0.1, 0.8))

    assert heard_of(script, levels(LOUD)) == [(BEFORE, BEFORE + WORD + HELD - 1)]


@pytest.mark.parametrize(("level", "blocks"), [(LOUD, 8), (20 * LOUD, 11)])
def test_in_noise_the_end_is_known_sooner(level: float, blocks: int) -> None:
    """A quarter of a second: the word was let go of later already."""
    script = told(Speech(0.9, 0.9), Speech(0.0, 0.0))
    endpointer = Endpointer(Told(script))

    ended = [endpointer.accept(block) for block in blocks_of(levels(level))]

    at = next(number for number, found in enumerate(ended) if found is not None)
    assert at == BEFORE + WORD - 1 + blocks


def test_in_noise_a_doubtful_end_of_a_word_is_none_of_it() -> None:
    """The network lets go of a word slowly there; where it stands out it does not."""
    script = told(Speech(0.9, 0.9), Speech(0.5, 0.5))

    assert heard_of(script, levels(LOUD)) == [(BEFORE, BEFORE + WORD - 1)]


def test_a_doubtful_word_in_noise_is_no_click() -> None:
    """What may be speech counts for its length, even where it ends nothing."""
    word = [Speech(0.6, 0.6)] * 5
    script = [*[Speech(0.0)] * BEFORE, *word, *[Speech(0.0)] * AFTER]

    found = heard_of(script, [FAINT] * BEFORE + [LOUD] * 5 + [FAINT] * AFTER)

    assert len(found) == 1


def test_a_word_that_stands_out_ends_where_the_sound_as_it_is_says_so() -> None:
    """The denoised sound is late: nobody waits for it without need."""
    script = told(Speech(0.8, 0.9), Speech(0.1, 0.6))

    assert heard_of(script, levels(20 * LOUD)) == [(BEFORE, BEFORE + WORD - 1)]


def test_a_loud_bang_does_not_end_a_word_heard_denoised_only() -> None:
    """It stands out, but the sound as it is never was surely speech."""
    script = told(Speech(0.05, 0.9), Speech(0.05, 0.6))

    found = heard_of(script, levels(20 * LOUD))

    assert found[0][1] >= BEFORE + WORD - 1


def test_over_a_prompt_only_the_sound_as_it_is_counts() -> None:
    """Denoised, the prompt that comes back faintly would be speech."""
    endpointer = Endpointer(Told(told(Speech(0.05, 0.9), Speech(0.0))))
    endpointer.reset(denoised=False)

    ended = [endpointer.accept(block) for block in blocks_of(levels(LOUD))]

    assert ended == [None] * len(ended)
