"""How long after the end of speech does the read-back begin?

The time of one answer is put together from what is measured:

    end-pointing   from the end of the word to the end of the block of sound by
                   which its end is known: the wait
    late           what denoising, voice activity and the looks of the recogniser
                   during the wait left to do when that block was there
    read-back      the policy, then the tone that every read-back opens with; it
                   is computed at once. The words follow the tone, from the cache
                   or spoken anew: their time is shown beside

The word is played block by block as a microphone brings it (32 ms each); when
the computer is late for a block, the next waits. The word's end is the last
20 ms within 40 dB of its loudest. The buffer of the loudspeaker is stated
beside: it is the device's own.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import BLOCK_S, Activity, Endpointer, Speech
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import FRAME, active_mask, guard_peak, mix_at_snr
from voicecheck.audio.noise import noise
from voicecheck.audio.ports import BLOCK
from voicecheck.bench.corpus import Clip
from voicecheck.bench.trials import Condition
from voicecheck.dialogue.confirmation import decide
from voicecheck.speech.early_ending import EarlyEnding, Recognised
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser
from voicecheck.speech.wrapped_recogniser import WrappedRecogniser

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
    """What the program was late by when the block that ended it was there."""
    decode_s: float
    """The recogniser's last look, mostly during the wait."""
    utterance_s: float
    """Length of the sound that was decoded."""
    decode_processor_s: float
    """Of the last look and of the denoising of the utterance."""
    looks_processor_s: float
    """Of all looks, those thrown away included, and of the denoising."""
    looks: int
    pause_s: float
    """Longest silence inside the word that the end-pointing had to wait through."""

    def total_s(self, readback_s: float = 0.0) -> float:
        """Return the time to the first sample of the read-back.

        Args:
            readback_s: from the end of hearing to that sample.
        """
        return self.endpoint_s + self.backlog_s + readback_s


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
    noted = _NotingActivity(activity, processor)
    endpointer = Endpointer(noted)
    timed = _TimedRecogniser(recogniser, wall, processor)
    early = EarlyEnding(timed, endpointer)
    endpointer.reset()
    found = _listen(sound, end_s, early, active, wall, processor)
    if found is None:
        return None
    heard, known_s, late_s, hearing_s = found
    utterance = heard.utterance
    least = endpointer.settings.end_probability
    inside = noted.probabilities[utterance.begins_block : utterance.ends_block + 1]
    began = wall()
    decide(heard.hypotheses)
    denoising_s = max(0.0, hearing_s - noted.processor_s - sum(timed.processor_s))
    return Answered(
        condition=condition.name,
        text=clip.text,
        endpoint_s=known_s - end_s,
        backlog_s=late_s + wall() - began,
        decode_s=timed.wall_s[-1],
        decode_processor_s=timed.processor_s[-1] + denoising_s,
        looks_processor_s=sum(timed.processor_s) + denoising_s,
        looks=len(timed.wall_s),
        utterance_s=len(utterance.frames) / RATE_HZ,
        pause_s=longest_run([max(p) < least for p in inside]) * BLOCK_S,
    )


class _TimedRecogniser(WrappedRecogniser):
    """Keep how long each look takes."""

    def __init__(self, inner: Recogniser, wall: Stopwatch, cpu: Stopwatch) -> None:
        super().__init__(inner)
        self._wall, self._cpu = wall, cpu
        self.wall_s: list[float] = []
        self.processor_s: list[float] = []

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        began, began_processor = self._wall(), self._cpu()
        found = self._inner.recognise(utterance, active)
        self.wall_s.append(self._wall() - began)
        self.processor_s.append(self._cpu() - began_processor)
        return found


def longest_run(marks: Iterable[bool]) -> int:
    """Return how many true marks follow on each other at most."""
    longest = run = 0
    for mark in marks:
        run = run + 1 if mark else 0
        longest = max(longest, run)
    return longest


class _NotingActivity:
    """Keep what an activity says, and what it costs."""

    def __init__(self, inner: Activity, processor: Stopwatch) -> None:
        self._inner = inner
        self._processor = processor
        self.probabilities: list[Speech] = []
        self.processor_s = 0.0

    def reset(self) -> None:
        self._inner.reset()
        self.probabilities.clear()

    def probability(self, block: Frames) -> Speech:
        began = self._processor()
        self.probabilities.append(self._inner.probability(block))
        self.processor_s += self._processor() - began
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


def _listen(
    sound: Frames,
    end_s: float,
    early: EarlyEnding,
    active: ActiveSet,
    wall: Stopwatch,
    processor: Stopwatch,
) -> tuple[Recognised, float, float, float] | None:
    """Return what holds the word's end, when it came, how late, processor time."""
    free_s = 0.0
    began_processor = processor()
    for number in range(sound.size // BLOCK):
        there_s = (number + 1) * BLOCK_S
        began = wall()
        found = early.accept(sound[number * BLOCK : (number + 1) * BLOCK], active)
        free_s = max(there_s, free_s) + wall() - began
        # an utterance that ended before the word is noise, or its first half
        if found and (found.utterance.ends_block + 3) * BLOCK_S >= end_s - 0.25:
            return found, there_s, free_s - there_s, processor() - began_processor
    return None
