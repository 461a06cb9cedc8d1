"""An assessor who really speaks, over an idling diesel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

import numpy as np
import pytest

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.checklists import load
from voicecheck.demo.yard import OPERATOR_VOICES, background, spoken
from voicecheck.errors import PeopleError
from voicecheck.observe.marks import Mark, Retraction
from voicecheck.observe.observation import fold
from voicecheck.observe.spoken.listening import MarksListening
from voicecheck.observe.spoken.marking import Marking
from voicecheck.observe.spoken.words import mark_set
from voicecheck.speech.engines import Engine, make_recogniser
from voicecheck.speech.listener import Listener
from voicecheck.speech.own_words import for_own_words
from voicecheck.speech.ports import Heard, Hypothesis
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

OBSERVATION = UUID(int=7)
CHECKLIST = load("wheel-loader")
SAID = (
    "looked properly",
    "unsafe act",
    "undo last mark",
    "go to engine bay",
    "only glanced",
    "stop marking",
)


class Assessor:
    """Says the next word whenever the program is ready, until all were taken."""

    def __init__(self, link: SimulatedLink, synthesiser: Pyttsx3Synthesiser) -> None:
        self._link = link
        self._synthesiser = synthesiser
        self._left = list(SAID)
        self.tries = 0

    def speak(self) -> None:
        """Say the word that is due."""
        self.tries += 1
        voice = OPERATOR_VOICES["en"][0]
        self._link.say(spoken(self._synthesiser, self._left[0], voice), 0.8)

    def watch(self, kind: str, _: Mapping[str, Any]) -> None:
        """Go on to the next word, or say this one again."""
        if kind == "taken":
            self._left.pop(0)


@pytest.mark.slow
def test_marks_are_heard_kept_and_undone() -> None:
    """The marks that stand are those that were meant, in few more tries than words."""
    rng = np.random.default_rng(3)
    link = SimulatedLink(background(NoiseKind.IDLE, 10.0, rng))
    recogniser = for_own_words(make_recogniser("en", Engine.EMBEDDED))
    listener = Listener(link, recogniser, Endpointer(SileroActivity()))
    kept: list[Mark | Retraction] = []
    with Pyttsx3Synthesiser() as synthesiser:
        assessor = Assessor(link, synthesiser)
        marks = MarksListening(
            Marking(CHECKLIST, OBSERVATION, "M.Roe", link.clock),
            mark_set(CHECKLIST),
            link,
            listener,
            synthesiser,
            kept.append,
            assessor.watch,
        )
        over = False
        while not over:
            assert assessor.tries < 2 * len(SAID)
            assessor.speak()
            over = marks.once()

    seen = fold(OBSERVATION, kept)
    assert [(m.kind.value, m.checkpoint) for m in seen.marks] == [
        ("looked", CHECKLIST.checkpoints[0].id),
        ("glanced", CHECKLIST.zone("engine_bay").checkpoints[0].id),
    ]
    assert [m.kind.value for m in seen.retracted] == ["unsafe"]


def test_nothing_is_read_back_that_was_not_kept() -> None:
    """When the store refuses, the listening ends before the read-back."""
    link = SimulatedLink(background(NoiseKind.QUIET, None, np.random.default_rng(1)))
    told: list[str] = []

    class OneMark:
        """Hears one mark, surely."""

        def listen(self, *_: object) -> Heard:
            sure = Hypothesis(phrase="only glanced", meaning="glanced", confidence=0.99)
            return Heard(
                hypotheses=(sure,),
                started_s=0.0,
                ended_s=1.0,
                noise_dbfs=-60.0,
                snr_db=20.0,
            )

    def full(_: Mark | Retraction) -> None:
        raise PeopleError("the disk is full; make room, then try again")

    marks = MarksListening(
        Marking(CHECKLIST, OBSERVATION, "M.Roe", link.clock),
        mark_set(CHECKLIST),
        link,
        OneMark(),  # type: ignore[arg-type]
        None,
        full,
        lambda kind, _: told.append(kind),
    )

    with pytest.raises(PeopleError, match="disk is full"):
        marks.run()

    assert told == []
    assert link.played_s == 0.0
