"""Which trials a run holds: who says what in which noise, drawn by seed.

Each trial has its own seed, so that it sounds the same whatever else is in the
run and however many processes share the work.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import Clip
from voicecheck.bench.foreign import FOREIGN, Kind, kind_of
from voicecheck.bench.trials import CONDITIONS, Condition, make_trial

__all__ = ["Planned", "Pool", "plan", "split_examples"]

EXAMPLES = 3
"""Spoken examples of each word for an enrolled voice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One trial, not yet made."""

    number: int
    kind: Kind
    clip: Clip
    condition: Condition
    seed: tuple[int, int, int]

    def sound(self, talkers: tuple[Frames, ...]) -> Frames:
        """Return what the microphone hears."""
        rng = np.random.default_rng(self.seed)
        return make_trial(self.clip, self.condition, rng, talkers=talkers)


class Pool:
    """Clips of one kind, given out evenly: each phrase, then each speaker, in turn."""

    def __init__(self, clips: Sequence[Clip], rng: np.random.Generator) -> None:
        self._rng = rng
        self._groups: dict[str, dict[str, list[Clip]]] = {}
        for clip in clips:
            by_speaker = self._groups.setdefault(clip.label or clip.text, {})
            by_speaker.setdefault(clip.speaker, []).append(clip)
        self._order: list[str] = []
        self._turns: dict[str, int] = {}

    def __bool__(self) -> bool:
        return bool(self._groups)

    def draw(self) -> Clip:
        """Return the next clip.

        Raises:
            IndexError: the pool is empty.
        """
        if not self._order:
            names = sorted(self._groups)
            self._order = [names[int(i)] for i in self._rng.permutation(len(names))]
        name = self._order.pop()
        speakers = self._groups[name]
        turn = self._turns.setdefault(name, int(self._rng.integers(len(speakers))))
        self._turns[name] = turn + 1
        clips = speakers[sorted(speakers)[turn % len(speakers)]]
        return clips[int(self._rng.integers(len(clips)))]


def plan(
    clips: Iterable[Clip],
    conditions: Sequence[Condition],
    *,
    trials: int,
    foreign: int,
    seed: int,
) -> Iterator[Planned]:
    """Draw the trials of each condition.

    Args:
        clips: of all kinds.
        conditions: noises.
        trials: command trials in each noise.
        foreign: trials in each noise with sounds that are no answer, in equal
            shares of the kinds that there are clips of.
        seed: of everything drawn.
    """
    by_kind: dict[Kind, list[Clip]] = {}
    for clip in clips:
        by_kind.setdefault(kind_of(clip), []).append(clip)
    wanted: list[tuple[Kind, int]] = [(Kind.COMMAND, trials)]
    kinds = [kind for kind in FOREIGN if kind in by_kind]
    wanted += [(k, (foreign + i) // len(kinds)) for i, k in enumerate(kinds)]
    number = 0
    for condition in conditions:
        place = CONDITIONS.index(condition)
        rng = np.random.default_rng((seed, place))
        for kind, count in wanted:
            pool = Pool(by_kind.get(kind, []), rng)
            for index in range(count if pool else 0):
                yield Planned(
                    number=number,
                    kind=kind,
                    clip=pool.draw(),
                    condition=condition,
                    seed=(seed, place, index + 100_000 * list(Kind).index(kind)),
                )
                number += 1


def split_examples(
    clips: Sequence[Clip], phrases: Sequence[str]
) -> tuple[dict[str, dict[str, list[Frames]]], list[Clip]]:
    """Take the examples to enrol from out of the clips to be judged.

    The first three settings of a speaker that has more become its examples.
    Other speakers are judged with all they said and enrol nobody.

    Returns:
        Speaker → phrase → examples; and the clips that are left to judge.
    """
    settings: dict[str, dict[str, None]] = {}
    for clip in clips:
        if clip.label in phrases:
            settings.setdefault(clip.speaker, {})[clip.voice] = None
    held = {
        voice
        for voices in settings.values()
        if len(voices) > EXAMPLES
        for voice in list(voices)[:EXAMPLES]
    }
    examples: dict[str, dict[str, list[Frames]]] = {}
    for clip in clips:
        if clip.voice in held and clip.label in phrases:
            words = examples.setdefault(clip.speaker, {})
            words.setdefault(clip.label, []).append(clip.frames)
    return examples, [clip for clip in clips if clip.voice not in held]
