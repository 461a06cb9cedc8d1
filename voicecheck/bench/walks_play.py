"""Play one simulated walk: the real dialogue, listener and recogniser, no devices."""

from __future__ import annotations

import random
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from voicecheck.audio.activity import Activity, Endpointer
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.bench.hearing_run import Talkers
from voicecheck.bench.trials import Condition
from voicecheck.bench.walks_events import NotingRecogniser, WalkAbandoned, WalkEvents
from voicecheck.bench.walks_operator import WalkOperator
from voicecheck.bench.walks_row import WalkRow, WrongEntry
from voicecheck.bench.walks_voices import WalkVoice
from voicecheck.bench.walks_yard import SPEECH_DBFS, SilentPrompts, YardVoice
from voicecheck.demo.scenario import seeded_answers
from voicecheck.demo.yard import Background
from voicecheck.dialogue.answering import needs_yes
from voicecheck.dialogue.asked import PendingAnswer
from voicecheck.dialogue.conversation import Conversation
from voicecheck.dialogue.draft import Draft
from voicecheck.dialogue.noise_turns import NoiseTurns
from voicecheck.dialogue.runner import Runner, Watch
from voicecheck.dialogue.settings import DialogueSettings, settings_for
from voicecheck.dialogue.wording import Wording
from voicecheck.round.answers import Answer, Defect, Good, Leak
from voicecheck.round.checklist import Checklist
from voicecheck.round.events import How, WalkEvent, WalkStarted
from voicecheck.round.probing import next_question, to_parts
from voicecheck.round.record import answer_data
from voicecheck.round.walk import Phase, Walk
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Recogniser

__all__ = ["Plan", "play_walk"]

_LOOP_S = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Which walk is to be played."""

    run: str
    seed: int
    number: int
    condition: Condition
    enrolled: bool
    never_object: float
    """Share of operators who never object to a wrong implicit read-back."""


class _Kept:
    """Keeps a walk in memory: the benchmark looks at what it says in the end."""

    def __init__(self, checklist: Checklist) -> None:
        self.walk = Walk(checklist)

    def commit(self, event: WalkEvent, how: How | None = None) -> None:
        self.walk.check(event)
        self.walk.apply(event)

    def observe(
        self, kind: str, checkpoint_id: str | None = None, detail: str = ""
    ) -> None:
        """What changes nothing is not looked at."""


def play_walk(
    plan: Plan,
    checklist: Checklist,
    voice: WalkVoice,
    recogniser: Recogniser,
    activity: Activity,
    talkers: Talkers,
    follow: Watch,
) -> WalkRow:
    """Walk the whole round once.

    Args:
        plan: number, noise and seed: they decide all that is drawn.
        checklist: in English.
        voice: who answers.
        recogniser: hears them.
        activity: tells speech from noise.
        talkers: for babble.
        follow: told what happens, before the operator is.
    """
    began_s = time.process_time()
    place = (plan.seed, list(NoiseKind).index(plan.condition.kind), plan.number)
    rng = np.random.default_rng((*place, round(10 * plan.condition.snr_db) + 10_000))
    chance = random.Random(int(rng.integers(2**31)))
    meant = seeded_answers(checklist, int(rng.integers(2**31)))
    objects = chance.random() >= plan.never_object
    noting = NotingRecogniser(recogniser)
    events = WalkEvents(noting, len(checklist.checkpoints))
    level_dbfs = float(rng.uniform(*SPEECH_DBFS))
    link = SimulatedLink(_noise(plan.condition, level_dbfs, rng, talkers))
    yard = YardVoice(link, voice, rng, level_dbfs)

    def say(phrase: str, after_s: float, attempt: int) -> None:
        events.said(phrase)
        yard(phrase, after_s, attempt)

    operator = WalkOperator(checklist, meant, say, chance, objects=objects)

    def watch(kind: str, data: Mapping[str, Any]) -> None:
        events.watch(kind, data)
        follow(kind, data)
        operator.watch(kind, data)

    missing = voice.missing
    kept = _Kept(checklist)
    kept.commit(
        WalkStarted(
            unit="L-12",
            operator="",
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
        )
    )
    ended = _run(kept, checklist, link, noting, activity, watch)
    answers = kept.walk.answers
    points = [point.id for point in checklist.checkpoints]
    return WalkRow(
        run=plan.run,
        number=plan.number,
        kind=plan.condition.kind.value,
        snr_db=plan.condition.snr_db,
        side=voice.side.value,
        voice=voice.key,
        enrolled=plan.enrolled,
        objects=objects,
        ended=ended,
        points=len(points),
        answers=len(answers),
        spoken=len(operator.said),
        turns=tuple(events.turns[point] for point in answers),
        least_turns=sum(_least(checklist, p, meant[p]) for p in answers),
        other_turns=sum(n for p, n in events.turns.items() if p not in answers),
        wrong=_wrong(operator, answers, meant, events),
        given_up=tuple(p for p in points if p not in answers or p in operator.given_up),
        counts=dict(sorted(events.counts.items())),
        misheard=tuple(events.misheard),
        by_program=voice.missing - missing,
        cpu_s=round(time.process_time() - began_s, 2),
    )


def _run(
    kept: _Kept,
    checklist: Checklist,
    link: SimulatedLink,
    recogniser: Recogniser,
    activity: Activity,
    watch: Any,
) -> str:
    """Carry the walk to its end; say how it ended."""
    noise_watch = NoiseWatch()
    runner = Runner(
        Conversation(
            kept,
            Wording(checklist, "en"),
            settings_for(recogniser),
        ),
        link,
        Listener(link, recogniser, Endpointer(activity), noise_watch),
        SilentPrompts(),
        watch,
        lambda wav: "0" * 64,
        NoiseTurns(noise_watch, lambda noise: None),
    )
    try:
        runner.run()
    except WalkAbandoned:
        return "abandoned"
    if kept.walk.phase is Phase.SIGNED:
        return "signed"
    return "declined" if kept.walk.declared is False else "stopped"


def _noise(
    condition: Condition, level_dbfs: float, rng: np.random.Generator, talkers: Talkers
) -> Background:
    piece = noise(condition.kind, _LOOP_S * RATE_HZ, rng, talkers=talkers)
    gain = np.float32(10 ** ((level_dbfs - condition.snr_db) / 20))
    frames: Frames = np.asarray(piece * gain, dtype=np.float32)
    return Background(frames, rng)


def _wrong(
    operator: WalkOperator,
    answers: Mapping[str, Answer],
    meant: Mapping[str, Answer],
    events: WalkEvents,
) -> tuple[WrongEntry, ...]:
    """Compare the record with what was meant; what was given up is no mistake."""
    return tuple(
        WrongEntry(
            checkpoint=point,
            meant=answer_data(meant[point]),
            recorded=answer_data(answer),
            hidden_finding=isinstance(meant[point], Defect | Leak)
            and isinstance(answer, Good),
            path=events.path(point),
        )
        for point, answer in answers.items()
        if answer not in (meant[point], operator.wanted(point))
    )


def _least(checklist: Checklist, checkpoint_id: str, answer: Answer) -> int:
    """Turns of an answer of which every word is heard surely."""
    point = checklist.checkpoint(checkpoint_id)
    turns = 0
    parts: dict[Any, str] = {}
    all_parts = to_parts(point, answer)
    while (question := next_question(checklist, point, parts)) is not None:
        parts[question.name] = all_parts[question.name]
        turns += 1
    pending = PendingAnswer(checkpoint=point, answer=answer)
    return turns + needs_yes(DialogueSettings(), Draft(), pending)
