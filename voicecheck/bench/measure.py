"""Run engines over trials and count what happened."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import Clip
from voicecheck.bench.engines import Engine
from voicecheck.bench.phrases import ELEVEN, OTHER
from voicecheck.bench.trials import Condition, make_trial

__all__ = ["Cell", "Outcome", "Trial", "count", "run", "trials_of"]

GOOD = "good"
FAULTY = frozenset({"defect", "leak"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One sound to be heard."""

    clip: Clip
    """What was said, by whom."""
    condition: Condition
    """In which noise."""
    sound: Frames
    """What the microphone heard."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What one engine made of one trial."""

    condition: str
    """Name of the noise."""
    said: str
    """The phrase said, OTHER if none of the eleven."""
    text: str
    """The words said."""
    heard: str | None
    """The phrase heard, None if nothing."""
    confidence: float
    """As stated by the engine."""
    speaker: str
    """Who said it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One engine in one noise."""

    condition: str
    """Name of the noise."""
    trials: int
    """Trials with one of the eleven phrases."""
    right: int
    """Accepted, and right."""
    wrong: int
    """Accepted, and another phrase."""
    rejected: int
    """Not accepted."""
    best_right: int
    """The likeliest phrase was right, accepted or not."""
    fault_as_good: int
    """Defect or leak accepted as good."""
    others: int
    """Trials with other speech."""
    others_accepted: int
    """Other speech that was accepted as a phrase."""


def trials_of(
    clips: Sequence[Clip],
    conditions: Iterable[Condition],
    *,
    seed: int,
    repeats: int,
    others: int,
    talkers: tuple[Frames, ...],
) -> list[Trial]:
    """Make trials: each clip of the eleven in each noise, and other speech.

    Args:
        clips: of the voices to be judged.
        conditions: noises.
        seed: of everything drawn.
        repeats: how often each clip stands in each noise.
        others: how many clips of other speech (phrases of ours that may not be
            said now count as such, one in three) stand in each noise.
        talkers: clips for babble.
    """
    rng = np.random.default_rng(seed)
    ours = [c for c in clips if c.label in ELEVEN]
    foreign = [c for c in clips if c.label == OTHER]
    elsewhere = [c for c in clips if c.label not in ELEVEN and c.label != OTHER]
    made = []
    for condition in conditions:
        picked = ours * repeats
        for pool, share in ((foreign, others - others // 3), (elsewhere, others // 3)):
            if pool:
                rows = rng.choice(len(pool), size=min(share, len(pool)), replace=False)
                picked = picked + [pool[int(i)] for i in rows]
        for clip in picked:
            sound = make_trial(clip, condition, rng, talkers=talkers)
            made.append(Trial(clip=clip, condition=condition, sound=sound))
    return made


def run(engine: Engine, trials: Iterable[Trial]) -> list[Outcome]:
    """Let an engine hear every trial."""
    outcomes = []
    for trial in trials:
        guess = engine.guess(trial.sound)
        outcomes.append(
            Outcome(
                condition=trial.condition.name,
                said=trial.clip.label if trial.clip.label in ELEVEN else OTHER,
                text=trial.clip.text,
                heard=guess.phrase,
                confidence=guess.confidence,
                speaker=trial.clip.speaker,
            )
        )
    return outcomes


def count(outcomes: Sequence[Outcome], accept: float) -> list[Cell]:
    """Sum up by noise; a phrase is accepted from the confidence `accept` on."""
    cells = []
    for condition in dict.fromkeys(o.condition for o in outcomes):
        here = [o for o in outcomes if o.condition == condition]
        ours = [o for o in here if o.said != OTHER]
        taken = [o for o in ours if o.heard is not None and o.confidence >= accept]
        right = sum(o.heard == o.said for o in taken)
        foreign = [o for o in here if o.said == OTHER]
        cells.append(
            Cell(
                condition=condition,
                trials=len(ours),
                right=right,
                wrong=len(taken) - right,
                rejected=len(ours) - len(taken),
                best_right=sum(o.heard == o.said for o in ours),
                fault_as_good=sum(o.heard == GOOD and o.said in FAULTY for o in taken),
                others=len(foreign),
                others_accepted=sum(
                    o.heard is not None and o.confidence >= accept for o in foreign
                ),
            )
        )
    return cells
