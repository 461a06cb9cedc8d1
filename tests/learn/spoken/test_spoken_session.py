"""A whole spoken lesson through the simulated sound path.

A simulated learner really speaks; nothing else of what it means reaches the
program. Recall of the short walk, two calls and a guided walk, over an idling
diesel. Once the learner says nothing, once something else is heard than was said.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from voicecheck.audio.frames import Frames
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.checklists.loader import load
from voicecheck.demo.learner import SILENT, SimulatedLearner
from voicecheck.demo.yard import OPERATOR_VOICES, OperatorVoice, background
from voicecheck.learn.events import Call, LearnEvent, Look, Opened, Order
from voicecheck.learn.sessions.guided import NEXT, WHY, Guided
from voicecheck.learn.sessions.next_point import DONE, NextPoint
from voicecheck.learn.sessions.ports import Listening, Session
from voicecheck.learn.sessions.spot import Spot
from voicecheck.learn.situations import Situation, build
from voicecheck.learn.spoken.hearing import for_practice
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.learn.spoken.practice import practice_talk, practise
from voicecheck.round.checklist import Checklist
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.testing.short_walk import short_walk

SNR_DB = 10.0


@dataclass
class MishearsOnce:
    """Takes one answer for another place, as surely as can be."""

    usual: Recogniser
    said: str
    heard: str
    done: bool = False

    @property
    def name(self) -> str:
        return self.usual.name

    @property
    def language(self) -> str:
        return self.usual.language

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        found = self.usual.recognise(utterance, active)
        wrong = next((p for p in active.phrases if p.meaning == self.heard), None)
        hit = found and found[0].meaning == self.said
        if self.done or wrong is None or not hit:
            return found
        self.done = True
        return (Hypothesis(phrase=wrong.text, meaning=self.heard, confidence=0.99),)


class Script:
    """What the learner means to say, one after the other, until it was taken."""

    def __init__(self, *values: str) -> None:
        self.left = list(values)

    def __call__(self, session: Session) -> str:
        if not self.left:
            return "stop"
        if self.left[0] == SILENT:
            return self.left.pop(0)
        return self.left[0]

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        if kind == "taken" and self.left and data["value"] == self.left[0]:
            self.left.pop(0)


@dataclass
class Lesson:
    """The yard, the voices and the ear."""

    checklist: Checklist
    recogniser: Recogniser
    synthesiser: Pyttsx3Synthesiser
    names: PlaceNames
    counts: dict[str, int] = field(default_factory=dict)

    def sit(
        self, session: Session, wants: Any, recogniser: Recogniser | None = None
    ) -> tuple[SimulatedLearner, list[LearnEvent], list[str]]:
        """Practise; return the learner, what was kept, and what was said to it."""
        ear = recogniser or self.recogniser
        kept: list[LearnEvent] = []
        told: list[str] = []
        rng = np.random.default_rng(3)
        link = SimulatedLink(background(NoiseKind.IDLE, SNR_DB, rng))
        voice = random.Random(3).choice(OPERATOR_VOICES["en"])
        talk = practice_talk(session, self.checklist, ear, kept.extend)
        learner = SimulatedLearner(
            lambda: talk.session,
            self.names,
            wants,
            OperatorVoice(link, self.synthesiser, voice),
            "en",
        )

        def watch(kind: str, data: Mapping[str, Any]) -> None:
            self.counts[kind] = self.counts.get(kind, 0) + 1
            if kind in ("prompt", "readback"):
                told.append(data["text"])
            learner.watch(kind, data)
            if isinstance(wants, Script):
                wants.watch(kind, data)

        practise(talk, link, ear, self.synthesiser, watch)
        return learner, kept, told


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lesson]:
    """The short walk, heard by the embedded pair."""
    folder = tmp_path_factory.mktemp("lesson")
    path = folder / "short-walk.toml"
    path.write_text(short_walk(), encoding="utf-8")
    checklist = load(str(path))
    with Pyttsx3Synthesiser(folder / "spoken") as synthesiser:
        yield Lesson(
            checklist,
            for_practice(PairedRecogniser()),
            synthesiser,
            PlaceNames(checklist),
        )


def orders(events: list[LearnEvent]) -> dict[str | None, tuple[str, ...]]:
    """What was said in each zone, and of the zones."""
    return {e.zone: e.said for e in events if isinstance(e, Order)}


@pytest.mark.slow
def test_the_order_said_is_the_order_kept(lesson: Lesson) -> None:
    """Recall of the whole short walk: silent once, misheard once, never misjudged."""
    walked = {
        "approach": ("cab_empty", "protective_gear"),
        "left_front_wheel": ("left_front_pressure",),
        "bucket": ("bucket_welds",),
        "engine_bay": ("engine_oil_level",),
        "loader_arms": ("loader_cylinders",),
        "rear": ("fan_guard",),
        "left_access": ("left_steps",),
        "platform": ("hydraulic_tank",),
        "last_look": ("ground_after_run",),
    }
    script = Script(
        *(v for zone in walked for v in (zone, SILENT, *walked[zone], DONE))
    )
    script.left = [v for i, v in enumerate(script.left) if v != SILENT or i == 1]
    ear = MishearsOnce(lesson.recogniser, "fan_guard", "left_steps")

    learner, kept, told = lesson.sit(NextPoint(lesson.checklist), script, ear)

    assert ear.done and learner.misheard >= 1
    assert "no" in learner.said
    assert orders(kept) == {**walked, None: tuple(walked)}
    assert "Teeth and their pins" in " ".join(told)
    assert "tau" in told[-1]


@pytest.mark.slow
def test_calls_are_judged_as_they_were_meant(lesson: Lesson) -> None:
    """The first call is right, the second passes a defect: both are kept so."""
    found = [
        s
        for s in build(lesson.checklist)
        if s.expected.opened is Opened.DEFECT and s.expected.severity is not None
    ][:2]

    def wants(session: Session) -> str:
        assert isinstance(session, Spot)
        return called(session, session.situation, found)

    _, kept, told = lesson.sit(Spot(lesson.checklist, found), wants)

    first, second = (event for event in kept if isinstance(event, Call))
    assert first.said == first.expected
    assert second.said.opened is Opened.GOOD
    assert any("You call it:" in text for text in told)


def called(session: Spot, one: Situation, all_: list[Situation]) -> str:
    """The part that is asked for: right in the first, "good" in the second."""
    match session.ask().listening:
        case Listening.CONDITION:
            return str(one.expected.opened) if one.id == all_[0].id else "good"
        case Listening.SEVERITY:
            return str(one.expected.severity)
        case _:
            return "yes" if one.expected.may_work else "no"


@pytest.mark.slow
def test_a_guided_walk_is_led_by_voice(lesson: Lesson) -> None:
    """Every point is gone through, with its why on request."""
    zones = ["bucket", "left_access", "platform"]
    points = [p.id for z in zones for p in lesson.checklist.zone(z).checkpoints]
    script = Script(WHY, *[NEXT] * len(points))

    _, kept, told = lesson.sit(Guided(lesson.checklist, zones=zones), script)

    assert [e.checkpoint for e in kept if isinstance(e, Look)] == points
    caution = lesson.checklist.zone("platform").climb_caution
    assert any(caution in text for text in told)
