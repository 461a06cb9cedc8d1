"""Whole walks by simulated operators: what stands in the record in the end?

Each walk goes through the same dialogue, confirmation policy, listener,
end-pointing and recogniser as a real one; only prompts are silent and the
journal is left out. Walks are appended to a file one by one, so that a run can
be broken off and continued.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from importlib import resources
from itertools import count
from pathlib import Path

from pydantic import ValidationError

from voicecheck.audio.activity import SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.bench.hearing_corpus import Split
from voicecheck.bench.trials import Condition
from voicecheck.bench.voices.bundled import Bundled
from voicecheck.bench.walks_hearing import WalkHearing
from voicecheck.bench.walks_operator import NEVER_OBJECT
from voicecheck.bench.walks_play import Plan, play_walk
from voicecheck.bench.walks_row import WalkRow
from voicecheck.bench.walks_voices import Speak, load_material
from voicecheck.checklists.loader import load
from voicecheck.errors import UsageError
from voicecheck.speech.network.digit_network import shipped_digits
from voicecheck.speech.network.model import shipped_weights

__all__ = ["ROWS", "Asked", "read_rows", "run_walks"]

ROWS = "walks.jsonl"
_MOST_EMPTY = 5
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a run is asked for."""

    corpus: Path
    conditions: tuple[Condition, ...]
    answers: int = 5000
    """Entries in final records, over all noises together."""
    side: Split | None = None
    checklist: str = "wheel-loader"
    seed: int = 5
    jobs: int = 1
    enrolled: bool = False
    learns: bool = True
    """Strangers: get used to each voice on its walk, as `walk` does."""
    never_object: float = NEVER_OBJECT

    @property
    def run(self) -> str:
        """Name of what rows must share: program parts, seed and choices."""
        side = self.side.value if self.side else "any"
        stranger = "stranger" if self.learns else "stranger never learned"
        voice = "enrolled" if self.enrolled else stranger
        return (
            f"parts {_fingerprint()}, {voice}, {side} voices, {self.checklist}, seed "
            f"{self.seed}, {self.never_object:g} never object"
        )


def _fingerprint() -> str:
    """Digest of the networks, the maps to probabilities and the costs."""
    package = resources.files("voicecheck")
    maps = (package / "speech" / "calibrations").iterdir()
    texts = [x for x in maps if x.name.endswith(".json")]
    parts = [
        shipped_weights().read_bytes(),
        shipped_digits().read_bytes(),
        *(x.read_bytes() for x in sorted(texts, key=lambda x: x.name)),
        (package / "dialogue" / "costs.toml").read_bytes(),
    ]
    return hashlib.sha256(b"".join(parts)).hexdigest()[:12]


class _Bench:
    """What plays walks, loaded once in each process."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self._material = load_material(
            asked.corpus, asked.side, _by_program(), enrolled=asked.enrolled
        )
        self._checklist = load(asked.checklist, "en")
        self._activity = SileroActivity()
        self._hearing = WalkHearing(
            self._material.examples if asked.enrolled else None, learns=asked.learns
        )

    def play(self, plan: Plan) -> WalkRow:
        """Play one walk."""
        voices = self._material.voices
        voice = voices[plan.number % len(voices)]
        recogniser, follow = self._hearing.of(voice)
        return play_walk(
            plan,
            self._checklist,
            voice,
            recogniser,
            self._activity,
            self._material.talkers,
            follow,
        )


def _by_program() -> Speak:
    """Return the program's own voice; it is started when it is needed."""
    bundled: list[Bundled] = []

    def speak(text: str) -> Frames | None:
        if not bundled:
            bundled.append(Bundled())
        return bundled[0].say(bundled[0].voices()[0], text)

    return speak


_bench: _Bench | None = None


def _start(asked: Asked) -> None:
    global _bench  # noqa: PLW0603 - a process of the pool keeps its engines here
    _bench = _Bench(asked)


def _play(plan: Plan) -> WalkRow:
    assert _bench is not None
    return _bench.play(plan)


def read_rows(path: Path) -> list[WalkRow]:
    """Read the walks of earlier runs; a line that was broken off is left out.

    Raises:
        UsageError: it is no such file.
    """
    if not path.exists():
        return []
    lines = path.read_text("utf-8").splitlines(keepends=True)
    try:
        return [WalkRow.model_validate_json(x) for x in lines if x.endswith("\n")]
    except ValidationError as error:
        raise UsageError(
            f"{path} does not hold walks of this version: choose another --out"
        ) from error


def run_walks(asked: Asked, out: Path, progress: Progress) -> list[WalkRow]:
    """Play walks until their records hold the asked number of answers.

    Args:
        asked: what to play.
        out: folder of `walks.jsonl`; walks that are there count.
        progress: told how far it is after each walk.

    Returns:
        All walks, those of earlier runs first.

    Raises:
        UsageError: the folder holds walks of another run or cannot be written, or
            nobody was heard on several walks in a row.
    """
    path = out / ROWS
    rows = read_rows(path)
    others = {row.run for row in rows} - {asked.run}
    if others:
        raise UsageError(
            f"{path} holds other walks ({sorted(others)[0]}; asked for: {asked.run}): "
            "choose another --out"
        )
    _mend(path, rows)
    began_s = time.monotonic()
    before = done = sum(row.answers for row in rows)
    if done >= asked.answers:
        return rows
    try:
        out.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as file:
            for row in _played(asked, rows):
                file.write(row.model_dump_json() + "\n")
                file.flush()
                rows.append(row)
                done += row.answers
                took_s = time.monotonic() - began_s
                _check_heard(rows)
                progress(_line(row, done, asked.answers, took_s, done - before))
                if done >= asked.answers:
                    break
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}") from error
    return rows


def _check_heard(rows: Sequence[WalkRow]) -> None:
    """Do not walk on for ever where nobody is heard."""
    last = rows[-_MOST_EMPTY:]
    if len(last) == _MOST_EMPTY and not any(row.answers for row in last):
        raise UsageError(
            f"{_MOST_EMPTY} walks in a row got no answer recorded: choose milder "
            "--noise or --snr"
        )


def _mend(path: Path, rows: Sequence[WalkRow]) -> None:
    """Take away a last line that was broken off, so that the next stands alone."""
    if path.exists() and not path.read_text("utf-8").endswith("\n"):
        text = "".join(row.model_dump_json() + "\n" for row in rows)
        path.write_text(text, "utf-8")


def _plans(asked: Asked, rows: Sequence[WalkRow]) -> Iterator[Plan]:
    """Give the walks that are not there yet: each number in every noise."""
    there = {(row.condition, row.number) for row in rows}
    for number in count():
        for place, condition in enumerate(asked.conditions):
            # each noise begins with another voice
            own = number * len(asked.conditions) + place
            if (f"{condition.kind.value} {condition.snr_db:g}", own) not in there:
                yield Plan(
                    run=asked.run,
                    seed=asked.seed,
                    number=own,
                    condition=condition,
                    enrolled=asked.enrolled,
                    never_object=asked.never_object,
                )


def _played(asked: Asked, rows: Sequence[WalkRow]) -> Iterator[WalkRow]:
    plans = _plans(asked, rows)
    if asked.jobs == 1:
        bench = _Bench(asked)
        for plan in plans:
            yield bench.play(plan)
        return
    with ProcessPoolExecutor(
        asked.jobs,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_start,
        initargs=(asked,),
    ) as pool:
        waiting: list[Future[WalkRow]] = []
        try:
            for plan in plans:
                waiting.append(pool.submit(_play, plan))
                if len(waiting) > asked.jobs:
                    yield waiting.pop(0).result()
        finally:
            for future in waiting:
                future.cancel()


def _line(row: WalkRow, done: int, asked: int, took_s: float, new: int) -> str:
    turns = sum(row.turns) / max(1, row.answers)
    wrong = f"{len(row.wrong)} WRONG" if row.wrong else "nothing wrong"
    left_min = took_s / max(1, new) * max(0, asked - done) / 60
    return (
        f"{row.condition}: {row.answers} answers, {turns:.2f} turns each, {wrong}, "
        f"{row.ended}; {done} of {asked} answers, about {left_min:.0f} min to go"
    )
