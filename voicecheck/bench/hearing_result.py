"""The result of the hearing benchmark as it is written: hearing.json."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from voicecheck.statistics.proportions import wilson

__all__ = [
    "Bin",
    "Calibrated",
    "Cell",
    "EngineResult",
    "HearingResult",
    "Mistakes",
    "Rate",
    "Reached",
]

Count = Annotated[int, Field(ge=0)]
Share = Annotated[float, Field(ge=0, le=1)]


class Reached(StrEnum):
    """Whether a goal is reached, given how few trials there are."""

    MET = "met"
    """The whole interval lies on the right side."""
    SEEMS_MET = "seems met"
    """What was measured does; the interval holds the goal."""
    SEEMS_MISSED = "seems missed"
    MISSED = "missed"


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Rate(_Model):
    """A share of trials, its Wilson 95 % interval, and its goal."""

    count: Count
    trials: Count
    low: Share
    high: Share
    goal: Share | None = None
    reached: Reached | None = None
    """None: no goal, or no trials."""

    @classmethod
    def at_most(cls, count: int, trials: int, goal: float | None = None) -> Rate:
        """Return a rate that is better the smaller it is."""
        return _rate(count, trials, goal, smaller=True)

    @classmethod
    def at_least(cls, count: int, trials: int, goal: float | None = None) -> Rate:
        """Return a rate that is better the larger it is."""
        return _rate(count, trials, goal, smaller=False)

    @property
    def share(self) -> float | None:
        """Return the share, None without trials."""
        return self.count / self.trials if self.trials else None


class Cell(_Model):
    """One engine in one noise."""

    condition: str
    usable: bool
    """0 dB and better: the goals for mistakes count here."""
    right: Rate
    """Command trials whose phrase was heard and taken, at once or by read-back."""
    accepted_right: Count
    """Of those, taken without read-back."""
    best_right: Count
    """The likeliest phrase was right, taken or not."""
    refused: Count
    """Not taken, nothing heard included."""
    wrong: Count
    """Another phrase taken, read-backs included."""
    wrong_accepted: Count
    """Another phrase taken without read-back."""
    missed: Count
    """The end-pointing found no speech."""


class Mistakes(_Model):
    """What must not happen, over all noises at 0 dB and better."""

    wrong_accepted: Rate
    """Of all command trials."""
    fault_as_good_accepted: Rate
    """Of the trials of "defect" and "leak": taken as "good" without read-back."""
    fault_as_good_taken: Rate
    """The same, read-backs included."""
    foreign_accepted: Rate
    """Of sounds that are no answer: taken without read-back."""
    foreign_by_kind: dict[str, Rate]
    foreign_read_back: Rate
    """Of sounds that are no answer: read back, so that somebody must say no."""


class Bin(_Model):
    """Trials of similar confidence."""

    confidence: Share
    right: Share
    trials: Count


class Calibrated(_Model):
    """Whether confidences mean what they say; all trials with something heard."""

    error: Share
    """Expected calibration error, sounds that are no answer included."""
    error_of_commands: Share
    goal: Share
    trials: Count
    bins: tuple[Bin, ...]


class EngineResult(_Model):
    """All that was measured of one engine."""

    engine: str
    title: str
    speakers: tuple[str, ...]
    cells: tuple[Cell, ...]
    mistakes: Mistakes
    calibration: Calibrated | None
    """None: the engine states no confidence."""
    computing_s_per_trial: Annotated[float, Field(ge=0)]
    """Processor time; shared end-pointing counts for the engine that came first."""


class HearingResult(_Model):
    """A whole run."""

    schema_: Literal["voicecheck.bench.hearing"] = Field(
        default="voicecheck.bench.hearing", alias="schema"
    )
    version: Literal[1] = 1
    voicecheck: str
    """Version of the program."""
    seed: int
    split: str
    families: tuple[str, ...]
    """Families of voices that were judged."""
    voices: tuple[str, ...]
    trials_per_noise: Count
    foreign_per_noise: Count
    notes: tuple[str, ...]
    """What a reader must know: what was left out, what the voices are."""
    network: str
    """First letters of the SHA-256 of the network's weights."""
    calibration: str
    """What the confidences were fitted on."""
    engines: tuple[EngineResult, ...]


def _rate(count: int, trials: int, goal: float | None, *, smaller: bool) -> Rate:
    likely = wilson(count, trials)
    low, high = likely.low, likely.high
    reached = None
    if goal is not None and trials:
        good = count / trials <= goal if smaller else count / trials >= goal
        sure_good = high <= goal if smaller else low >= goal
        sure_bad = low > goal if smaller else high < goal
        if good:
            reached = Reached.MET if sure_good else Reached.SEEMS_MET
        else:
            reached = Reached.MISSED if sure_bad else Reached.SEEMS_MISSED
    return Rate(
        count=count, trials=trials, low=low, high=high, goal=goal, reached=reached
    )
