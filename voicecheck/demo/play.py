"""Put the simulated walk together and compare what was recorded with the truth."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.simulated import SimulatedLink, real_time
from voicecheck.clock import Clock
from voicecheck.demo.operator import SayAloud, SimulatedOperator
from voicecheck.demo.yard import (
    OPERATOR_VOICES,
    TALK,
    OperatorVoice,
    background,
    spoken,
)
from voicecheck.dialogue.conversation import Conversation
from voicecheck.dialogue.noise_turns import NoiseTurns
from voicecheck.dialogue.runner import Runner, Watch
from voicecheck.dialogue.settings import settings_for
from voicecheck.dialogue.wording import Wording
from voicecheck.round.answers import Answer, No
from voicecheck.round.checklist import Checklist
from voicecheck.round.record import answer_data
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import Recogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.store.session import RecordRef, WalkSession


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoSettings:
    """How the simulated walk goes."""

    snr_db: float | None = 15.0
    """Speech over noise at the microphone; None: a quiet place."""
    kind: NoiseKind = NoiseKind.YARD
    seed: int = 1
    language: str = "en"
    real_time: bool = False
    unit: str = "L-12"
    operator: str = "demo"
    confirm_always: bool = False
    full: bool = False
    start: datetime | None = None
    """What time it is in the yard; None: a fixed morning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A checkpoint whose record is not what the operator meant."""

    checkpoint_id: str
    meant: Mapping[str, Any] | None
    recorded: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoResult:
    """How the walk went."""

    record: RecordRef
    session: WalkSession
    differences: tuple[Difference, ...]
    answers: int
    listened: int
    """Times that the operator was listened to."""
    simulated_s: float
    """How long the walk would have taken."""
    prompts_s: float
    """Seconds of speech and tones played."""
    counts: Mapping[str, int] = field(default_factory=dict)


def play(
    checklist: Checklist,
    meant: Mapping[str, Answer],
    recogniser: Recogniser,
    synthesiser: Pyttsx3Synthesiser,
    settings: DemoSettings,
    watch: Watch,
    new_session: Callable[[Clock], WalkSession],
    said: Callable[[str], object] = lambda _: None,
) -> DemoResult:
    """Walk the whole round in the simulated yard.

    Args:
        checklist: in the language of the walk.
        meant: what there is to see.
        recogniser: hears the operator.
        synthesiser: speaks prompts and operator alike, with different voices.
        settings: noise, seed, language.
        watch: told everything that happens.
        new_session: begins the walk on the clock of the yard.
        said: told each phrase that the operator says, for the display.
    """
    rng = random.Random(settings.seed)
    link = _link(settings, synthesiser)
    session = new_session(link.clock)
    voice = rng.choice(OPERATOR_VOICES[settings.language])
    operator = SimulatedOperator(
        checklist,
        meant,
        _aloud(OperatorVoice(link, synthesiser, voice), said),
        settings.language,
        rng,
    )
    counts: dict[str, int] = {}

    def both(kind: str, data: Mapping[str, Any]) -> None:
        counts[kind] = counts.get(kind, 0) + 1
        watch(kind, data)
        operator.watch(kind, data)

    conversation = Conversation(
        session,
        Wording(checklist, settings.language),
        settings_for(
            recogniser,
            confirm_always=settings.confirm_always,
            full=settings.full,
        ),
    )
    noise = NoiseWatch()
    listener = Listener(link, recogniser, Endpointer(SileroActivity()), noise)
    Runner(
        conversation,
        link,
        listener,
        synthesiser,
        both,
        session.keep_clip,
        NoiseTurns(noise, session.keep_noise),
    ).run()
    record = session.finish()
    return DemoResult(
        record=record,
        session=session,
        differences=differences(checklist, meant, session.walk.answers),
        answers=len(session.walk.answers),
        listened=counts.get("listening", 0),
        simulated_s=link.clock.monotonic_s(),
        prompts_s=link.played_s,
        counts=counts,
    )


def _aloud(voice: SayAloud, said: Callable[[str], object]) -> SayAloud:
    def say(phrase: str, after_s: float, attempt: int) -> None:
        said(phrase)
        voice(phrase, after_s, attempt)

    return say


def differences(
    checklist: Checklist, meant: Mapping[str, Answer], recorded: Mapping[str, Answer]
) -> tuple[Difference, ...]:
    """Compare every checkpoint; after a "no" to a start check the walk is over."""
    found = []
    for point in checklist.checkpoints:
        said, kept = meant.get(point.id), recorded.get(point.id)
        if said != kept:
            found.append(
                Difference(
                    checkpoint_id=point.id,
                    meant=None if said is None else answer_data(said),
                    recorded=None if kept is None else answer_data(kept),
                )
            )
        if isinstance(said, No):
            break
    return tuple(found)


def _link(settings: DemoSettings, synthesiser: Pyttsx3Synthesiser) -> SimulatedLink:
    rng = np.random.default_rng(settings.seed)
    talkers: tuple[Frames, ...] = ()
    if settings.kind is NoiseKind.BABBLE and settings.snr_db is not None:
        voices = OPERATOR_VOICES["en"]
        talkers = tuple(
            spoken(synthesiser, text, voices[number % len(voices)])
            for number, text in enumerate(TALK)
        )
    noise = background(settings.kind, settings.snr_db, rng, talkers)
    pace = real_time if settings.real_time else None
    return SimulatedLink(noise, pace, settings.start)
