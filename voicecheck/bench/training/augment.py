"""Turn clean clips into what a microphone in a yard hears, in batches.

Each trial: one clip resampled (pitch, tempo and tract length together), in a
room, with a random tone curve and tilt (raised voices are brighter, talkers
with plugged ears duller), somewhere in 1.4 to 3.4 s of noise at -6 to 30 dB
(now and then almost none), through a microphone. Some trials hold no speech,
two words run together, the first part of a word alone, or the head of one word
with the tail of another by the same voice: all those are to be refused. Each
trial also says which phones are heard in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import torch
from scipy.fft import next_fast_len

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise, shaped_noise, unit_rms
from voicecheck.bench.corpus import Clip
from voicecheck.bench.phrases import CONTRARY, PHRASES
from voicecheck.bench.room import room_response
from voicecheck.bench.training.spoken import phone_table

__all__ = ["Augmenter", "Batch", "clip_odds", "noise_bank"]

BANK_S = 40
LONGEST = int(2.2 * RATE_HZ)
_DENIAL = 0.15
"""What other speech that holds a short answer ("not good") weighs.

Every voice says seven such texts, three of them of "good", each as often as the
answer itself. A network that meets them so often hears a doubtful "good" as one of
them.
"""
_CROSS = RATE_HZ // 100
"""Samples over which one word gives way to another."""


def noise_bank(clips: list[Clip], seed: int) -> np.ndarray:
    """Make the noises that training meets, shape (rows, BANK_S * 16000).

    All kinds of `NoiseKind` in several instances, babble from the training
    talkers, and kinds that the judging never uses: white, brown, randomly
    coloured, clanks, chords.
    """
    rng = np.random.default_rng(seed)
    samples = BANK_S * RATE_HZ
    rows: list[Frames] = []
    for kind in NoiseKind:
        for _ in range(10 if kind is NoiseKind.BABBLE else 5):
            picked = rng.choice(len(clips), size=300, replace=False)
            talkers = [clips[int(i)].frames for i in picked]
            rows.append(noise(kind, samples, rng, talkers=talkers))
    for _ in range(12):
        knots = rng.normal(0, 9, size=9)
        slope = rng.uniform(-9, 1)

        def curve(
            freqs_hz: np.ndarray, knots: np.ndarray = knots, slope: float = slope
        ) -> np.ndarray:
            octaves = np.log2(np.maximum(freqs_hz, 31.25) / 31.25)
            level_db = np.interp(octaves, np.arange(9), knots) + slope * octaves
            return np.asarray(10 ** (level_db / 20))

        rows.append(shaped_noise(samples, rng, curve).astype(np.float32))
    rows.extend(_clanks(samples, rng) for _ in range(4))
    rows.extend(_chords(samples, rng) for _ in range(4))
    return np.stack(rows).astype(np.float32)


def _clanks(samples: int, rng: np.random.Generator) -> Frames:
    """Metal struck now and then, ringing for up to half a second."""
    time_s = np.arange(samples) / RATE_HZ
    total = 0.03 * rng.standard_normal(samples)
    for start_s in rng.uniform(0, BANK_S, size=BANK_S * 2):
        after = np.maximum(time_s - start_s, 0)[int(start_s * RATE_HZ) :][:8000]
        for hz in rng.uniform(300, 5000, size=5):
            ring = np.sin(2 * np.pi * hz * after) * np.exp(
                -after / rng.uniform(0.02, 0.2)
            )
            begin = int(start_s * RATE_HZ)
            total[begin : begin + ring.size] += rng.uniform(0.2, 1) * ring
    return unit_rms(total)


def _chords(samples: int, rng: np.random.Generator) -> Frames:
    """Steady harmonic tones that change now and then: horns, radios, motors."""
    total = 0.02 * rng.standard_normal(samples)
    step = RATE_HZ // 2
    for begin in range(0, samples - step, step):
        time_s = np.arange(step) / RATE_HZ
        for hz in rng.uniform(90, 900, size=int(rng.integers(1, 4))):
            for k in range(1, 7):
                total[begin : begin + step] += (
                    rng.uniform(0, 1) / k * np.sin(2 * np.pi * hz * k * time_s)
                )
    return unit_rms(total)


@dataclass
class Shares:
    """How the trials of a batch are dealt out."""

    other: float = 0.34
    noise_only: float = 0.08
    run_together: float = 0.08
    cut_short: float = 0.04
    spliced: float = 0.05
    """Tried; those whose two words begin or end alike stay as they were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Trials, on the training device."""

    sound: torch.Tensor
    """Shape (size, samples)."""
    target: torch.Tensor
    """Class of each trial, shape (size,)."""
    phones: torch.Tensor
    """Indices of the phones in each, shape (size, most), padded."""
    lengths: torch.Tensor
    """How many phones; 0: no speech, -1: not known."""


class Augmenter:
    """Draws batches on the training device."""

    def __init__(
        self, clips: list[Clip], labels: tuple[str, ...], *, seed: int, device: str
    ) -> None:
        """Move clips, noises and rooms to the device.

        Args:
            clips: the training clips.
            labels: phrases, then the classes of other speech and of noise.
            seed: of everything drawn.
            device: of PyTorch.
        """
        self.device = device
        self.labels = labels
        self.shares = Shares()
        self.generator = torch.Generator(device=device).manual_seed(seed)
        sounds = [torch.from_numpy(clip.frames) for clip in clips]
        self.lengths = torch.tensor([s.numel() for s in sounds], device=device)
        longest = int(self.lengths.max()) + 2
        self.sounds = torch.zeros(len(clips), longest, dtype=torch.float16)
        for row, sound in enumerate(sounds):
            self.sounds[row, : sound.numel()] = sound.half()
        self.sounds = self.sounds.to(device)
        index = {w: i for i, w in enumerate(labels)}
        self.other, self.noise_class = len(labels) - 2, len(labels) - 1
        self.targets = torch.tensor(
            [index.get(c.label, self.other) for c in clips], device=device
        )
        self.phrase_odds, self.other_odds = clip_odds(clips, self.targets, self.other)
        phones, lengths = phone_table([clip.text for clip in clips])
        self.phones = torch.from_numpy(phones).to(device)
        self.phone_counts = torch.from_numpy(lengths).to(device)
        self.same_voice = _same_voice([clip.voice for clip in clips]).to(device)
        self.ends = self._ends()
        self.noises = torch.from_numpy(noise_bank(clips, seed)).to(device)
        rng = np.random.default_rng(seed + 1)
        rooms = np.stack([room_response(rng) for _ in range(400)])
        self.rooms = torch.from_numpy(rooms).to(device)

    def batch(self, size: int) -> Batch:
        """Draw trials, all of one length."""
        long = self._uniform(1, 0, 1).item() < 0.25
        total = int(self._uniform(1, *((2.2, 3.4) if long else (1.4, 2.2))) * RATE_HZ)
        rows, target = self._draw_clips(size)
        speech, target, phones, lengths = self._speech(rows, target, total)
        speech = self._in_rooms(speech)
        speech = self._toned(speech, tilt_db=5.0, wave_db=4.0)
        silent = self._uniform(size, 0, 1) < self.shares.noise_only
        target = torch.where(silent, self.noise_class, target)
        lengths = torch.where(silent, 0, lengths)
        mixed = self._with_noise(speech, silent)
        mixed = self._toned(mixed, tilt_db=2.0, wave_db=3.0)
        clipped = (self._uniform(size, 0, 1) < 0.08)[:, None]
        peak = mixed.abs().amax(dim=1, keepdim=True).clamp(min=1e-6)
        hard = torch.tanh(mixed / peak * 3) / 3 * peak
        return Batch(
            sound=torch.where(clipped, hard, mixed),
            target=target,
            phones=phones,
            lengths=lengths,
        )

    def _uniform(self, size: int, low: float, high: float) -> torch.Tensor:
        drawn = torch.rand(size, generator=self.generator, device=self.device)
        return low + (high - low) * drawn

    def _draw_clips(self, size: int) -> tuple[torch.Tensor, torch.Tensor]:
        phrase = torch.multinomial(
            self.phrase_odds, size, replacement=True, generator=self.generator
        )
        other = torch.multinomial(
            self.other_odds, size, replacement=True, generator=self.generator
        )
        rows = torch.where(self._uniform(size, 0, 1) < self.shares.other, other, phrase)
        return rows, self.targets[rows]

    def _speech(
        self, rows: torch.Tensor, target: torch.Tensor, total: int
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor, torch.Tensor]:
        """Place resampled clips; join or cut some, which makes them OTHER.

        Returns:
            Sound, classes, phones and how many (-1 where some are cut off).
        """
        size = rows.numel()
        spread = 0.09 * torch.randn(size, generator=self.generator, device=self.device)
        rate = spread.clamp(-0.22, 0.22).exp()
        length = self.lengths[rows] / rate
        cut = self._uniform(size, 0, 1) < self.shares.cut_short
        cut &= length > 0.3 * RATE_HZ
        shown = torch.where(cut, length * self._uniform(size, 0.3, 0.5), length)
        room = (total - shown - 0.1 * RATE_HZ).clamp(min=0)
        lead = torch.minimum(self._uniform(size, 0.03, 0.9) * RATE_HZ, room)
        speech = self._placed(rows, rate, lead, shown, total)
        joined = self._uniform(size, 0, 1) < self.shares.run_together
        speech, spliced = self._spliced(speech, rows, rate, lead, ~(cut | joined))
        second, _ = self._draw_clips(size)
        gap = self._uniform(size, 0, 0.25) * RATE_HZ
        later = self.lengths[second] / rate
        after = self._placed(second, rate, lead + shown + gap, later, total)
        speech = speech + after * joined[:, None]
        phones, lengths = self._phones(rows, second, joined)
        end = lead + shown + joined * (gap + later)
        lengths = torch.where(cut | spliced | (end > total), -1, lengths)
        refused = joined | cut | spliced
        return speech, torch.where(refused, self.other, target), phones, lengths

    def _ends(self) -> torch.Tensor:
        """First and last phone of each clip, -1 where not known, shape (clips, 2)."""
        last = (self.phone_counts - 1).clamp(min=0)
        first_last = torch.stack(
            [self.phones[:, 0], self.phones.gather(1, last[:, None])[:, 0]], dim=1
        )
        return torch.where((self.phone_counts > 0)[:, None], first_last, -1)

    def _spliced(
        self,
        speech: torch.Tensor,
        rows: torch.Tensor,
        rate: torch.Tensor,
        lead: torch.Tensor,
        free: torch.Tensor,
    ) -> tuple[torch.Tensor, torch.Tensor]:
        """Give some words the tail of another word of the same voice.

        Words that begin or end with the same phone are left as they are: what
        came out might be one of ours after all.
        """
        size, total = speech.shape
        begin, count = self.same_voice[rows].unbind(dim=1)
        tail = begin + (self._uniform(size, 0, 1) * count).long().clamp(max=count - 1)
        known = (self.ends[rows] >= 0).all(dim=1) & (self.ends[tail] >= 0).all(dim=1)
        unlike = (self.ends[rows] != self.ends[tail]).all(dim=1)
        drawn = self._uniform(size, 0, 1) < self.shares.spliced
        chosen = drawn & free & known & unlike
        head = self.lengths[rows] / rate * self._uniform(size, 0.35, 0.65)
        left_out = self.lengths[tail] / rate * self._uniform(size, 0.35, 0.65)
        rest = self.lengths[tail] / rate
        other = self._placed(tail, rate, lead + head - left_out, rest, total)
        since = torch.arange(total, device=self.device)[None] - (lead + head)[:, None]
        over = ((since + _CROSS) / _CROSS).clamp(0, 1)
        mixed = speech * (1 - over) + other * over
        return torch.where(chosen[:, None], mixed, speech), chosen

    def _phones(
        self, rows: torch.Tensor, second: torch.Tensor, joined: torch.Tensor
    ) -> tuple[torch.Tensor, torch.Tensor]:
        """Phones of one clip, or of two after each other."""
        first, more = self.phone_counts[rows], self.phone_counts[second]
        known = (first >= 0) & (~joined | (more >= 0))
        more = torch.where(joined, more, 0)
        most = self.phones.shape[1]
        place = torch.arange(2 * most, device=self.device)[None]
        head = self.phones[rows].gather(
            1, place.clamp(max=most - 1).expand(len(rows), -1)
        )
        shifted = (place - first[:, None]).clamp(0, most - 1)
        tail = self.phones[second].gather(1, shifted)
        phones = torch.where(place < first[:, None], head, tail)
        return phones, torch.where(known, first + more, -1)

    def _placed(
        self,
        rows: torch.Tensor,
        rate: torch.Tensor,
        lead: torch.Tensor,
        shown: torch.Tensor,
        total: int,
    ) -> torch.Tensor:
        """Read clips at a rate, from a place on, by linear interpolation."""
        since = torch.arange(total, device=self.device)[None] - lead[:, None]
        inside = (since >= 0) & (since < shown[:, None])
        position = (since * rate[:, None]).clamp(0, self.sounds.shape[1] - 2)
        whole = position.long()
        part = position - whole
        clips = self.sounds[rows].float()
        value = clips.gather(1, whole) * (1 - part) + clips.gather(1, whole + 1) * part
        return value * inside

    def _in_rooms(self, speech: torch.Tensor) -> torch.Tensor:
        size, total = speech.shape
        drawn = torch.randint(
            len(self.rooms), (size,), generator=self.generator, device=self.device
        )
        responses = self.rooms[drawn].clone()
        dry = self._uniform(size, 0, 1) < 0.4
        responses[dry] = 0
        responses[dry, 0] = 1
        points = next_fast_len(total + responses.shape[1], real=True)
        spectrum = torch.fft.rfft(speech, points) * torch.fft.rfft(responses, points)
        return torch.fft.irfft(spectrum, points)[:, :total]

    def _toned(
        self, sound: torch.Tensor, *, tilt_db: float, wave_db: float
    ) -> torch.Tensor:
        """Random tilt (dB per octave about 1 kHz) and smooth waves per octave."""
        size, total = sound.shape
        points = next_fast_len(total, real=True)
        spectrum = torch.fft.rfft(sound, points)
        freqs = torch.linspace(1, RATE_HZ / 2, spectrum.shape[1], device=self.device)
        octaves = torch.log2(freqs / 1000)
        tilt = self._uniform(size, -tilt_db, tilt_db)[:, None] * octaves.clamp(-3.3, 3)
        place = (octaves.clamp(-4, 2.99) + 4)[None].expand(size, -1)
        knots = wave_db * torch.randn(
            size, 8, generator=self.generator, device=self.device
        )
        low = place.long()
        wave = knots.gather(1, low) * (1 - place + low)
        wave = wave + knots.gather(1, low + 1) * (place - low)
        toned = torch.fft.irfft(spectrum * 10 ** ((tilt + wave) / 20), points)
        return toned[:, :total]

    def _noise_rows(self, size: int, total: int) -> torch.Tensor:
        row = torch.randint(
            len(self.noises), (size,), generator=self.generator, device=self.device
        )
        last = self.noises.shape[1] - total
        begin = (self._uniform(size, 0, 1) * last).long()
        index = begin[:, None] + torch.arange(total, device=self.device)[None]
        return self.noises[row[:, None], index]

    def _with_noise(self, speech: torch.Tensor, silent: torch.Tensor) -> torch.Tensor:
        size, total = speech.shape
        first = self._noise_rows(size, total)
        second = self._noise_rows(size, total)
        blend = self._uniform(size, 0, 1) * (self._uniform(size, 0, 1) < 0.35)
        sound = self._toned(first + blend[:, None] * second, tilt_db=2.5, wave_db=4.0)
        sound = sound / sound.square().mean(dim=1, keepdim=True).sqrt().clamp(min=1e-6)
        loud = speech.abs() > 0.01 * speech.abs().amax(dim=1, keepdim=True)
        power = speech.square().sum(dim=1) / loud.sum(dim=1).clamp(min=1)
        level = power.sqrt().clamp(min=1e-4)
        snr_db = self._uniform(size, -6, 30)
        almost_none = self._uniform(size, 0, 1) < 0.12
        snr_db = torch.where(almost_none, self._uniform(size, 30, 70), snr_db)
        gain = level * 10 ** (-snr_db / 20)
        speech = torch.where(silent[:, None], torch.zeros_like(speech), speech)
        return speech + gain[:, None] * sound


def _same_voice(voices: list[str]) -> torch.Tensor:
    """Where the run of clips of the same voice begins, and how long it is."""
    table = np.zeros((len(voices), 2), dtype=np.int64)
    begin = 0
    for row in range(1, len(voices) + 1):
        if row == len(voices) or voices[row] != voices[begin]:
            table[begin:row] = begin, row - begin
            begin = row
    return torch.from_numpy(table)


def clip_odds(
    clips: list[Clip], targets: torch.Tensor, other: int
) -> tuple[torch.Tensor, torch.Tensor]:
    """Weigh clips so that classes count alike, and families by their worth.

    A family weighs as the square root of its number of speakers, and what holds
    a short answer and denies it weighs less than its number.

    Args:
        clips: the training clips.
        targets: class of each, shape (clips,).
        other: the class of other speech.

    Returns:
        Odds of each clip where a phrase is to be drawn, and where other speech is.
    """
    families = [clip.voice.split("/")[0] for clip in clips]
    speakers: dict[str, set[str]] = {}
    for clip, family in zip(clips, families, strict=True):
        speakers.setdefault(family, set()).add(clip.speaker)
    counts: dict[tuple[str, int], int] = {}
    classes = targets.tolist()
    for key in zip(families, classes, strict=True):
        counts[key] = counts.get(key, 0) + 1
    odds = torch.tensor(
        [
            len(speakers[family]) ** 0.5 / counts[family, target]
            for family, target in zip(families, classes, strict=True)
        ],
        device=targets.device,
    )
    is_other = targets == other
    denied = torch.tensor([_denies(clip.text) for clip in clips], device=odds.device)
    weight = torch.where(denied, _DENIAL, 1.0)
    return odds * ~is_other, odds * is_other * weight


def _denies(text: str) -> bool:
    """Tell whether a contrary is one of our one-word answers, denied."""
    words = text.split()
    return text in CONTRARY and words[0] in ("no", "not") and words[-1] in PHRASES
