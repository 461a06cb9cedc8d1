"""One run of the hearing benchmark: trials, engines, rows, figures."""

from __future__ import annotations

import hashlib
import multiprocessing
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from voicecheck import __version__
from voicecheck.audio.activity import SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.bench.contestants import Contestant, EngineName, make_contestants
from voicecheck.bench.corpus import Clip
from voicecheck.bench.hearing_result import HearingResult
from voicecheck.bench.phrases import OTHER
from voicecheck.bench.remembered_activity import RememberedActivity
from voicecheck.bench.summing_up import sum_up
from voicecheck.bench.trial_plan import Planned, plan
from voicecheck.bench.trials import Condition
from voicecheck.bench.verdicts import Row, Verdict
from voicecheck.dialogue.confirmation import Outcome, decide, standard_costs
from voicecheck.speech.fusion import load_fusion
from voicecheck.speech.network.model import shipped_weights
from voicecheck.speech.ports import Hypothesis

__all__ = ["HearingRun", "Talkers", "first_outcome", "result_of", "run_rows"]

Talkers = tuple[Frames, ...]
Progress = Callable[[str], None]
Examples = Mapping[str, Mapping[str, Sequence[Frames]]]
Make = Callable[[Sequence[EngineName], Examples, RememberedActivity], list[Contestant]]

_OF_A_READ_BACK = ("yes", "no")
_PIECE = 24
"""Trials that one process takes at a time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HearingRun:
    """What is compared on what."""

    clips: tuple[Clip, ...]
    """To be judged; examples for enrolment are not among them."""
    examples: Examples
    talkers: Talkers
    conditions: tuple[Condition, ...]
    engines: tuple[EngineName, ...]
    trials: int
    foreign: int
    seed: int

    def planned(self) -> list[Planned]:
        """Return the trials, noise by noise."""
        return list(
            plan(
                self.clips,
                self.conditions,
                trials=self.trials,
                foreign=self.foreign,
                seed=self.seed,
            )
        )


class _Bench:
    """The engines, loaded once in each process."""

    def __init__(self, run: HearingRun, make: Make) -> None:
        self._activity = RememberedActivity(SileroActivity())
        self._engines = make(run.engines, run.examples, self._activity)
        self._talkers = run.talkers

    def rows(self, trials: Sequence[Planned]) -> list[Row]:
        """Let every engine hear some trials."""
        rows = []
        for trial in trials:
            sound = trial.sound(self._talkers)
            self._activity.forget()
            for engine in self._engines:
                began_s = time.process_time()
                verdict = engine.hear(trial, sound)
                took_s = time.process_time() - began_s
                if verdict is not None:
                    rows.append(_row(engine.name, trial, verdict, took_s))
        return rows


_bench: _Bench | None = None


def _start(run: HearingRun, make: Make) -> None:
    global _bench  # noqa: PLW0603 - a process of the pool keeps its engines here
    _bench = _Bench(run, make)


def _piece(trials: Sequence[Planned]) -> list[Row]:
    assert _bench is not None
    return _bench.rows(trials)


def run_rows(
    run: HearingRun,
    progress: Progress,
    *,
    jobs: int = 1,
    make: Make = make_contestants,
) -> Iterator[Row]:
    """Give the rows of all trials in their order, as they are measured.

    Args:
        run: what is compared.
        progress: told how far it is after each noise.
        jobs: processes that share the work; the rows are the same.
        make: makes the engines; another one for tests.
    """
    planned = run.planned()
    pieces = _pieces(planned)
    began_s = time.monotonic()
    done = 0
    for piece, rows in zip(pieces, _worked(run, pieces, jobs, make), strict=True):
        yield from rows
        done += len(piece)
        last = piece[-1].condition.name
        if done == len(planned) or planned[done].condition.name != last:
            took_s = time.monotonic() - began_s
            left_s = took_s / done * (len(planned) - done)
            progress(
                f"{last}: {done} of {len(planned)} trials, {took_s:.0f} s, "
                f"about {left_s:.0f} s to go"
            )


def _pieces(planned: Sequence[Planned]) -> list[Sequence[Planned]]:
    """Cut trials into pieces of one noise each."""
    pieces: list[Sequence[Planned]] = []
    for _, group in groupby(planned, key=lambda trial: trial.condition.name):
        trials = list(group)
        pieces += [trials[i : i + _PIECE] for i in range(0, len(trials), _PIECE)]
    return pieces


def _worked(
    run: HearingRun, pieces: Sequence[Sequence[Planned]], jobs: int, make: Make
) -> Iterator[list[Row]]:
    if jobs == 1:
        bench = _Bench(run, make)
        for piece in pieces:
            yield bench.rows(piece)
        return
    with ProcessPoolExecutor(
        jobs,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_start,
        initargs=(run, make),
    ) as pool:
        yield from pool.map(_piece, pieces)


def first_outcome(found: Sequence[Hypothesis]) -> Outcome:
    """Return what a walk does with the first try at a question.

    Yes and no mostly answer a read-back, where asking again costs no more at first.
    """
    costs = standard_costs()
    answers = not found or found[0].meaning not in _OF_A_READ_BACK
    return decide(found, costs.after(0) if answers else costs)


def _row(name: EngineName, trial: Planned, verdict: Verdict, took_s: float) -> Row:
    found = verdict.hypotheses
    best = found[0] if found else None
    second = found[1] if len(found) > 1 else None
    outcome = first_outcome(found)
    return Row(
        engine=name.value,
        trial=trial.number,
        condition=trial.condition.name,
        noise=trial.condition.kind.value,
        snr_db=trial.condition.snr_db,
        kind=trial.kind.value,
        said=trial.clip.label if trial.kind == "command" else OTHER,
        text=trial.clip.text,
        voice=trial.clip.voice,
        heard=best.phrase if best else None,
        confidence=best.confidence if best else 0.0,
        second=second.phrase if second else None,
        second_confidence=second.confidence if second else 0.0,
        outcome=Outcome.REJECT.value if best is None else outcome.value,
        utterances=verdict.utterances,
        utterance_s=verdict.utterance_s,
        features=verdict.features,
        computing_s=round(took_s, 4),
    )


def result_of(
    run: HearingRun, rows: Sequence[Row], *, split: str, notes: Sequence[str]
) -> HearingResult:
    """Sum a whole run up."""
    weights = shipped_weights().read_bytes()
    by_engine: dict[str, list[Row]] = {}
    for row in rows:
        by_engine.setdefault(row.engine, []).append(row)
    voices = sorted({row.voice for row in rows if row.is_command})
    return HearingResult(
        voicecheck=__version__,
        seed=run.seed,
        split=split,
        families=tuple(sorted({voice.split("/")[0] for voice in voices})),
        voices=tuple(voices),
        trials_per_noise=run.trials,
        foreign_per_noise=run.foreign,
        notes=tuple(notes),
        network=hashlib.sha256(weights).hexdigest()[:12],
        calibration=load_fusion().provenance,
        engines=tuple(
            sum_up(name, by_engine[name.value])
            for name in run.engines
            if name.value in by_engine
        ),
    )


def pick_talkers(frames: Sequence[Frames], seed: int, count: int = 300) -> Talkers:
    """Draw the clips that babble is built from."""
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(frames))[:count]
    return tuple(frames[int(i)] for i in order)
