"""How long after the end of speech does the read-back begin?

The time of one answer is put together from what is measured:

    end-pointing   from the end of the word to the end of the block of sound by
                   which the end-pointing knows: the wait, and its own slowness
    decoding       the recogniser, from then on
    read-back      the policy, then the tone that every read-back opens with; it
                   is computed at once. The words follow the tone, from the cache
                   or spoken anew: their time is shown beside

The word is played block by block as a microphone brings it (32 ms each); when
the computer is late for a block, the next waits. The word's end is the last
20 ms within 40 dB of its loudest. Not included: the buffers of the sound device
on both ways, which are the device's own.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import BLOCK_S, Activity, Endpointer, Utterance
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import FRAME, active_mask, guard_peak, mix_at_snr
from voicecheck.audio.noise import noise
from voicecheck.audio.ports import BLOCK
from voicecheck.bench.corpus import Clip
from voicecheck.bench.trials import Condition
from voicecheck.dialogue.confirmation import decide
from voicecheck.speech.ports import ActiveSet, Recogniser

__all__ = ["Answered", "Stopwatch", "answer_times", "longest_run", "time_one"]

LEAD_S, TAIL_S = 1.0, 1.6
LEVEL_PEAK = 0.3

Stopwatch = Callable[[], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """One answer, seconds."""

    condition: str
    text: str
    endpoint_s: float
    """From the end of the word until the end-pointing knows it; may be negative
    when it takes the end of a word for silence."""
    backlog_s: float
    """What the voice activity was late by."""
    decode_s: float
    utterance_s: float
    """Length of the sound that was decoded."""
    decode_processor_s: float
    pause_s: float
    """Longest silence inside the word that the end-pointing had to wait through."""

    def total_s(self, readback_s: float = 0.0) -> float:
        """Return the time to the first sample of the read-back.

        Args:
            readback_s: from the recogniser's answer to that sample.
        """
        return self.endpoint_s + self.backlog_s + self.decode_s + readback_s

    def earlier_s(self, end_s: float, decode_after_s: float, was_s: float) -> float:
        """Work out the same had decoding begun while waiting for the end.

        Args:
            end_s: silence that would end the utterance.
            decode_after_s: silence after which decoding would begin.
            was_s: silence that ended it.
        """
        silent_from_s = self.endpoint_s + self.backlog_s - was_s
        decoded_s = decode_after_s + self.decode_s
        return silent_from_s + max(end_s, decoded_s)


def time_one(
    clip: Clip,
    condition: Condition,
    activity: Activity,
    recogniser: Recogniser,
    active: ActiveSet,
    rng: np.random.Generator,
    *,
    talkers: tuple[Frames, ...] = (),
    wall: Stopwatch = time.perf_counter,
    processor: Stopwatch = time.process_time,
) -> Answered | None:
    """Time one answer; None when the end-pointing never found it.

    Args:
        clip: the word.
        condition: the noise.
        activity: tells speech from noise.
        recogniser: hears it.
        active: what may be said.
        rng: of the noise.
        talkers: for babble.
        wall: clock in seconds.
        processor: clock of processor time in seconds.
    """
    sound, end_s = _stream(clip, condition, rng, talkers)
    noted = _NotingActivity(activity)
    endpointer = Endpointer(noted)
    found = _endpoint(sound, end_s, endpointer, wall)
    if found is None:
        return None
    utterance, known_s, late_s = found
    least = endpointer.settings.end_probability
    inside = noted.probabilities[utterance.begins_block : utterance.ends_block + 1]
    began, began_processor = wall(), processor()
    decide(recogniser.recognise(utterance.frames, active))
    return Answered(
        condition=condition.name,
        text=clip.text,
        endpoint_s=known_s - end_s,
        backlog_s=late_s,
        decode_s=wall() - began,
        decode_processor_s=processor() - began_processor,
        utterance_s=len(utterance.frames) / RATE_HZ,
        pause_s=longest_run([p < least for p in inside]) * BLOCK_S,
    )


def longest_run(marks: Iterable[bool]) -> int:
    """Return how many true marks follow on each other at most."""
    longest = run = 0
    for mark in marks:
        run = run + 1 if mark else 0
        longest = max(longest, run)
    return longest


class _NotingActivity:
    """Keep what an activity says."""

    def __init__(self, inner: Activity) -> None:
        self._inner = inner
        self.probabilities: list[float] = []

    def reset(self) -> None:
        self._inner.reset()
        self.probabilities.clear()

    def probability(self, block: Frames) -> float:
        self.probabilities.append(self._inner.probability(block))
        return self.probabilities[-1]


def answer_times(
    clips: Sequence[Clip],
    conditions: Sequence[Condition],
    activity: Activity,
    recogniser: Recogniser,
    active: ActiveSet,
    *,
    trials: int,
    seed: int,
    talkers: tuple[Frames, ...] = (),
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[list[Answered], int]:
    """Time `trials` answers in each noise; return them and how many were missed."""
    rng = np.random.default_rng(seed)
    # what is loaded on first use must not count for the first answer
    warm = np.zeros(RATE_HZ, np.float32) + rng.normal(0, 0.01, RATE_HZ)
    recogniser.recognise(warm.astype(np.float32), active)
    answered = []
    missed = 0
    for condition in conditions:
        for row in rng.choice(len(clips), size=trials, replace=trials > len(clips)):
            one = time_one(
                clips[int(row)], condition, activity, recogniser, active, rng,
                talkers=talkers,
            )  # fmt: skip
            if one is None:
                missed += 1
            else:
                answered.append(one)
        progress(f"{condition.name}: {len(answered)} answers timed, {missed} missed")
    return answered, missed


def _stream(
    clip: Clip,
    condition: Condition,
    rng: np.random.Generator,
    talkers: tuple[Frames, ...],
) -> tuple[Frames, float]:
    """Return what the microphone hears, and when the word ends in it."""
    lead = round(LEAD_S * RATE_HZ) + int(rng.integers(BLOCK))
    speech = np.pad(clip.frames, (lead, round(TAIL_S * RATE_HZ)))
    around = noise(condition.kind, speech.size, rng, talkers=talkers)
    heard = guard_peak(mix_at_snr(speech, around, condition.snr_db))
    frames = heard * np.float32(LEVEL_PEAK / np.abs(heard).max())
    last = int(np.flatnonzero(active_mask(clip.frames))[-1]) + 1
    end = lead + min(last * FRAME, clip.frames.size)
    return np.asarray(frames, dtype=np.float32), end / RATE_HZ


def _endpoint(
    sound: Frames, end_s: float, endpointer: Endpointer, wall: Stopwatch
) -> tuple[Utterance, float, float] | None:
    """Return the utterance that holds the word's end, when it came, how late."""
    endpointer.reset()
    free_s = 0.0
    for number in range(sound.size // BLOCK):
        there_s = (number + 1) * BLOCK_S
        began = wall()
        found = endpointer.accept(sound[number * BLOCK : (number + 1) * BLOCK])
        free_s = max(there_s, free_s) + wall() - began
        # an utterance that ended before the word is noise, or its first half
        if found is not None and (found.ends_block + 3) * BLOCK_S >= end_s - 0.25:
            return found, there_s, free_s - there_s
    return None
