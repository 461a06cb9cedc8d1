"""Spoken numbers in noise, to teach the digit network.

Two kinds of numbers: strings that a voice said as a whole, and single digits of
one voice put after each other, closer and wider apart. Some trials hold other
speech or no speech at all: nothing is to be heard in them.
"""

from __future__ import annotations

import numpy as np
import torch

from voicecheck.audio.frames import RATE_HZ
from voicecheck.bench.corpus import Clip
from voicecheck.bench.phrases import OTHER
from voicecheck.bench.training.augment import Augmenter, Batch
from voicecheck.bench.training.spoken import words_said
from voicecheck.speech.network.digit_words import POINT_WORDS, WORDS, counted_as
from voicecheck.speech.network.model import NOISE

__all__ = ["NumberBatches"]

MOST = 7
_KINDS = (0.38, 0.5, 0.06, 0.06)
"""Shares of whole strings, digits put together, other speech, and noise alone."""
_SIZES = (0.08, 0.12, 0.34, 0.14, 0.16, 0.16)
"""Of numbers put together: one word, two, …"""
_POINT = 0.45
_SHORTEST_S, _LONGEST_S = 1.3, 4.6
_GAP_S = (-0.04, 0.22)


class NumberBatches(Augmenter):
    """Draws batches of spoken numbers; `Batch.phones` are indices of `WORDS`."""

    def __init__(self, clips: list[Clip], *, seed: int, device: str) -> None:
        """Keep the numbers among the clips, and as much other speech.

        Args:
            clips: the training clips.
            seed: of everything drawn.
            device: of PyTorch.
        """
        super().__init__(clips, (OTHER, OTHER, NOISE), seed=seed, device=device)
        said = [words_said(clip.text) for clip in clips]
        singles = _singles(clips, said)
        strings = [i for i, words in enumerate(said) if words and len(words) > 1]
        # a string with an "oh" holds digits, and is no number: not learned from
        others = [i for i, c in enumerate(clips) if not _has_digit(c.text)]
        self.singles = torch.from_numpy(singles).to(device)
        self.strings = torch.tensor(strings, device=device)
        self.others = torch.tensor(others, device=device)
        table = np.zeros((len(clips), MOST), dtype=np.int64)
        counts = np.zeros(len(clips), dtype=np.int64)
        for row, words in enumerate(said):
            if words and len(words) <= MOST:
                table[row, : len(words)] = words
                counts[row] = len(words)
        self.table = torch.from_numpy(table).to(device)
        self.counts = torch.from_numpy(counts).to(device)

    def batch(self, size: int) -> Batch:
        """Draw trials, all of one length."""
        span_s = self._uniform(1, _SHORTEST_S, _LONGEST_S).item()
        total = int(span_s * RATE_HZ)
        kind = self._dealt(_KINDS, size)
        rate = (0.09 * self._normal(size)).clamp(-0.22, 0.22).exp()
        lead = self._uniform(size, 0.03, 0.6) * RATE_HZ
        whole, words, counts = self._whole(kind, rate, lead, total)
        pieces, more, many = self._pieces(rate, lead, total)
        put = kind == 1
        speech = torch.where(put[:, None], pieces, whole)
        words = torch.where(put[:, None], more, words)
        counts = torch.where(put, many, counts)
        silent = kind == 3
        counts = torch.where(silent, 0, counts)
        speech = self._toned(self._in_rooms(speech), tilt_db=5.0, wave_db=4.0)
        mixed = self._with_noise(speech, silent)
        mixed = self._toned(mixed, tilt_db=2.0, wave_db=3.0)
        return Batch(sound=mixed, target=kind, phones=words, lengths=counts)

    def _normal(self, size: int) -> torch.Tensor:
        return torch.randn(size, generator=self.generator, device=self.device)

    def _dealt(self, shares: tuple[float, ...], size: int) -> torch.Tensor:
        odds = torch.tensor(shares, device=self.device)
        return torch.multinomial(odds, size, True, generator=self.generator)

    def _whole(
        self, kind: torch.Tensor, rate: torch.Tensor, lead: torch.Tensor, total: int
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """Strings said as a whole, and other speech where `kind` says so."""
        size = kind.numel()
        string = self._picked(self.strings, size)
        other = self._picked(self.others, size)
        rows = torch.where(kind == 0, string, other)
        length = self.lengths[rows] / rate
        lead = torch.minimum(lead, (total - length).clamp(min=0))
        speech = self._placed(rows, rate, lead, length, total)
        fits = lead + length <= total + 0.03 * RATE_HZ
        counts = torch.where(kind == 0, self.counts[rows], 0)
        # what does not fit is not to be learned from
        counts = torch.where((kind == 0) & ~fits, -1, counts)
        return speech, self.table[rows], counts

    def _pieces(
        self, rate: torch.Tensor, lead: torch.Tensor, total: int
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """Single digits of one voice after each other."""
        size = rate.numel()
        wanted = self._dealt(_SIZES, size) + 1
        voice = (self._uniform(size, 0, 1) * len(self.singles)).long()
        words = (self._uniform(size * MOST, 0, 1) * 10).long().reshape(size, MOST)
        point = WORDS.index(POINT_WORDS[0])
        pointed = (self._uniform(size, 0, 1) < _POINT) & (wanted > 2)
        place = torch.arange(MOST, device=self.device)[None]
        words = torch.where(
            pointed[:, None] & (place == (wanted - 2)[:, None]), point, words
        )
        gaps = self._uniform(size, *_GAP_S) * RATE_HZ
        speech = torch.zeros(size, total, device=self.device)
        counts = torch.zeros(size, dtype=torch.long, device=self.device)
        ways = self.singles.shape[2]
        open_ = torch.ones(size, dtype=torch.bool, device=self.device)
        for index in range(len(_SIZES)):
            way = (self._uniform(size, 0, 1) * ways).long()
            rows = self.singles[voice, words[:, index], way]
            length = self.lengths[rows] / rate
            open_ = open_ & (index < wanted) & (lead + length <= total)
            level = 10 ** (self._uniform(size, -2.5, 2.5) / 20) * open_
            speech += self._placed(rows, rate, lead, length, total) * level[:, None]
            counts = counts + open_
            wobble = self._uniform(size, 0.6, 1.4)
            lead = torch.where(open_, lead + length + gaps * wobble, lead)
        return speech, words, counts

    def _picked(self, rows: torch.Tensor, size: int) -> torch.Tensor:
        return rows[(self._uniform(size, 0, 1) * len(rows)).long()]


def _has_digit(text: str) -> bool:
    return any(counted_as(word) in WORDS for word in text.split())


def _singles(clips: list[Clip], said: list[tuple[int, ...] | None]) -> np.ndarray:
    """Rows of the single digits, shape (voices, words, ways), repeated to fill."""
    by_voice: dict[str, dict[int, list[int]]] = {}
    for row, (clip, words) in enumerate(zip(clips, said, strict=True)):
        if words is not None and len(words) == 1:
            by_voice.setdefault(clip.voice, {}).setdefault(words[0], []).append(row)
    full = [v for v in by_voice.values() if len(v) == len(WORDS)]
    most = max(len(rows) for voice in full for rows in voice.values())
    table = [
        [np.resize(voice[word], most) for word in range(len(WORDS))] for voice in full
    ]
    return np.array(table, dtype=np.int64)
