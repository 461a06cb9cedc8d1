"""Listen for one answer: from blocks of a microphone to `Heard` or `NoInput`."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from typing import TypeVar

import numpy as np

from voicecheck.audio.activity import BLOCK_S, Endpointer, Utterance
from voicecheck.audio.frames import Frames
from voicecheck.audio.noise_watch.loudness import LOUD_BELOW_DB
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.ports import SoundLink
from voicecheck.speech.early_ending import EarlyEnding, EarlySettings, Recognised
from voicecheck.speech.ports import (
    ActiveSet,
    Heard,
    Hypothesis,
    Listened,
    NoInput,
    Recogniser,
)

T = TypeVar("T")

_BACKGROUND_S = 3.0
"""How much background the noise level is taken from."""
_FLOOR_DBFS = -100.0
_SURE_PHRASE = 0.5
"""A phrase heard so surely is no beginning of a number."""


class Listener:
    """Hear one answer at a time on a sound link."""

    def __init__(
        self,
        link: SoundLink,
        recogniser: Recogniser,
        endpointer: Endpointer,
        noise: NoiseWatch | None = None,
        early: EarlySettings | None = None,
    ) -> None:
        self._noise = noise or NoiseWatch()
        reliable = getattr(recogniser, "hears_down_to_db", LOUD_BELOW_DB)
        self._noise.hears_down_to(reliable)
        self._link = link
        self._recogniser = recogniser
        self._endpointer = endpointer
        self._early = EarlyEnding(recogniser, endpointer, early)
        self._kept_s = 0.0
        self._opened_s = link.clock.monotonic_s()
        self._background: deque[float] = deque(maxlen=round(_BACKGROUND_S / BLOCK_S))

    @property
    def engine(self) -> str:
        """Name of the recogniser."""
        return self._recogniser.name

    def listen(
        self, active: ActiveSet, timeout_s: float, keep_s: float = 0.3
    ) -> Listened:
        """Wait for one utterance and say what it may have been.

        Args:
            active: what may be said.
            timeout_s: silence after which nobody is taken to answer. Speech
                that has begun by then is heard to its end.
            keep_s: sound from just before now that still counts, for people
                who answer before the tone has ended.

        Raises:
            DeviceLost: the microphone went away.
        """
        began_s = self._begin(keep_s)
        found = self._next(lambda block: self._early.accept(block, active), timeout_s)
        noise_dbfs = self.noise_dbfs
        if found is None:
            return NoInput(waited_s=timeout_s, noise_dbfs=noise_dbfs)
        self._noise.utterance(found.utterance.frames)
        if (
            active.numbers
            and not found.utterance.too_long
            and _may_go_on(found.hypotheses, active)
        ):
            found = self._rest_of(found.utterance, active)
        return _heard(found, began_s, noise_dbfs)

    def listen_over(
        self,
        active: ActiveSet,
        *,
        playing: Callable[[], bool],
        echo: Callable[[Frames], bool],
        begun: Callable[[float, bool], None],
        shortest_s: float,
    ) -> Heard | None:
        """Listen while a prompt plays; return what was said over it, or None.

        Args:
            active: what may be said.
            playing: whether the prompt still plays.
            echo: whether a piece of sound is the prompt coming back.
            begun: told, after each block of an utterance, how much of it is
                speech and whether it is the prompt coming back.
            shortest_s: less speech than this is a cough or a bang.

        Raises:
            DeviceLost: the microphone went away.
        """
        self._link.discard()
        self._endpointer.reset(denoised=False)
        began_s = self._link.clock.monotonic_s()
        noise_dbfs = self.noise_dbfs
        voiced_s = 0.0
        while playing() or self._endpointer.speaking:
            utterance = self._endpointer.accept(self._link.read())
            if self._endpointer.speaking:
                voiced_s = self._endpointer.voiced_s
                heard_back = voiced_s >= shortest_s and echo(self._endpointer.begun())
                begun(voiced_s, heard_back)
            if utterance is None or voiced_s < shortest_s:
                continue
            if not echo(utterance.frames):
                hypotheses = self._early.recognise(utterance, active)
                return _heard(Recognised(utterance, hypotheses), began_s, noise_dbfs)
        return None

    def _rest_of(self, utterance: Utterance, active: ActiveSet) -> Recognised:
        """Wait a little longer for more of a number; return all of it.

        Whoever says "four five", breathes, and says "zero" has said one number.
        """
        self._endpointer.resume(utterance)
        whole = None
        while whole is None:
            whole = self._early.accept(self._link.read(), active)
        return whole

    def record(self, longest_s: float, timeout_s: float) -> Frames:
        """Keep a spoken note: return the next utterance, whatever it says.

        Returns:
            Mono at 16 kHz; empty when nothing was said until the timeout.
        """
        pause_s = 4 * self._endpointer.settings.end_s
        self._begin(0.0)
        utterance = self._next(self._endpointer.accept, timeout_s)
        pieces = []
        left_s = longest_s
        while utterance is not None and left_s > 0:
            self._noise.utterance(utterance.frames)
            pieces.append(utterance.frames)
            left_s -= len(utterance.frames) / 16_000
            utterance = self._next(self._endpointer.accept, pause_s)
        return np.concatenate(pieces) if pieces else np.zeros(0, np.float32)

    @property
    def noise_dbfs(self) -> float:
        """Level of the background of late, dB against an RMS of 1.0."""
        if not self._background:
            return _FLOOR_DBFS
        return _dbfs(float(np.median(self._background)))

    def _begin(self, keep_s: float) -> float:
        """Begin to listen; return the time at which block 0 began."""
        self._link.discard(keep_s)
        self._endpointer.reset()
        self._kept_s = keep_s
        # just after the start there is less to keep
        return max(self._opened_s, self._link.clock.monotonic_s() - keep_s)

    def _next(self, accept: Callable[[Frames], T | None], timeout_s: float) -> T | None:
        """Give blocks to `accept` until it returns something, or nobody speaks."""
        waited_s = -self._kept_s
        self._kept_s = 0.0
        while waited_s < timeout_s or self._endpointer.speaking:
            block = self._link.read()
            waited_s += BLOCK_S
            found = accept(block)
            if found is not None:
                return found
            if self._endpointer.speaking:
                self._noise.speech()
            else:
                self._noise.background(block)
                self._background.append(float(np.mean(np.square(block))))
        return None


def _heard(found: Recognised, began_s: float, noise_dbfs: float) -> Heard:
    utterance = found.utterance
    return Heard(
        hypotheses=found.hypotheses,
        started_s=began_s + utterance.begins_block * BLOCK_S,
        ended_s=began_s + (utterance.ends_block + 1) * BLOCK_S,
        noise_dbfs=noise_dbfs,
        snr_db=_snr_db(utterance.frames, noise_dbfs),
        too_long=utterance.too_long,
    )


def _may_go_on(hypotheses: tuple[Hypothesis, ...], active: ActiveSet) -> bool:
    """Tell whether more of a number may come: all but a phrase heard surely."""
    best = hypotheses[0] if hypotheses else None
    if best is None or active.phrase(best.phrase) is None:
        return True
    return best.confidence < _SURE_PHRASE


def _snr_db(utterance: Frames, noise_dbfs: float) -> float:
    """Estimate speech over noise from the louder half of an utterance."""
    frames = utterance[: len(utterance) // 160 * 160].reshape(-1, 160)
    power = np.sort(np.mean(np.square(frames), axis=1))
    speech = float(np.mean(power[len(power) // 2 :]))
    noise = 10 ** (noise_dbfs / 10)
    return float(10 * np.log10(max(speech - noise, noise * 1e-2, 1e-10) / noise))


def _dbfs(power: float) -> float:
    return float(10 * np.log10(max(power, 10 ** (_FLOOR_DBFS / 10))))
