"""Turns played on a sound link: what is told, in which order, and when sound goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.ports import Sound
from voicecheck.clock import ManualClock
from voicecheck.dialogue.conversation import Conversation
from voicecheck.dialogue.runner import Runner
from voicecheck.dialogue.wording import Wording
from voicecheck.errors import DeviceLost
from voicecheck.round import events as ev
from voicecheck.round.walk import Phase
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, Listened
from voicecheck.store.session import WalkSession
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.scripted_talk import SURE, USUAL
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()


@dataclass
class Link:
    """A loudspeaker that can be pulled out at the n-th sound."""

    clock: ManualClock = field(default_factory=ManualClock)
    lost_at: set[int] = field(default_factory=set)
    played: int = 0
    reopened: int = 0
    patience: int = 2

    def play(self, sound: Sound) -> None:
        """Take the time that a sound takes."""
        self.played += 1
        if self.played in self.lost_at:
            raise DeviceLost("unplugged")
        self.clock.advance(sound.seconds)

    def reopen(self) -> bool:
        """Come back at the second try."""
        self.reopened += 1
        return self.reopened % self.patience == 0


class Voice:
    """Speaks every text in half a second, and remembers it."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def speak(self, text: str, language: str) -> Sound:
        """Return silence of half a second."""
        self.said.append(text)
        return Sound(np.zeros(RATE_HZ // 2, np.float32), RATE_HZ)


class Ear:
    """Hears the usual answers, except where told otherwise."""

    def __init__(self, link: Link, **but: list[str]) -> None:
        self._link = link
        self._but = but
        self.lost_at: set[int] = set()
        self.listened = 0
        self.noted: Frames = np.full(RATE_HZ, 0.1, np.float32)

    def listen(self, active: ActiveSet, timeout_s: float, keep_s: float) -> Listened:
        """Return one answer, two seconds after the question."""
        self.listened += 1
        if self.listened in self.lost_at:
            raise DeviceLost("microphone gone")
        script = self._but.get(active.question, [])
        text = script.pop(0) if script else USUAL[active.question]
        phrase = active.phrase(text)
        meaning = phrase.meaning if phrase else str(parse_number(text, "en"))
        control = phrase.control if phrase else False
        self._link.clock.advance(2.0)
        now_s = self._link.clock.monotonic_s()
        return Heard(
            hypotheses=(
                Hypothesis(
                    phrase=text, meaning=meaning, confidence=SURE, control=control
                ),
            ),
            started_s=now_s,
            ended_s=now_s + 0.5,
            noise_dbfs=-60.0,
            snr_db=30.0,
        )

    def record(self, longest_s: float, timeout_s: float) -> Frames:
        """Return the note."""
        return self.noted


class Stage:
    """A whole walk on doubles."""

    def __init__(self, **but: list[str]) -> None:
        self.link = Link()
        self.ear = Ear(self.link, **but)
        self.voice = Voice()
        self.told: list[tuple[str, Mapping[str, Any]]] = []
        self.clips: list[bytes] = []
        self.session = WalkSession.start(
            MemoryJournal(),
            self.link.clock,
            CHECKLIST,
            unit="L-12",
            folder=Path("not used"),
        )

    def run(self) -> None:
        """Walk to the end."""
        conversation = Conversation(self.session, Wording(CHECKLIST, "en"))
        Runner(
            conversation, self.link, self.ear, self.voice, self._watch, self._keep
        ).run()

    def kinds(self, *wanted: str) -> list[str]:
        """Kinds of what was told, in order."""
        return [kind for kind, _ in self.told if not wanted or kind in wanted]

    def _watch(self, kind: str, data: Mapping[str, Any]) -> None:
        self.told.append((kind, data))

    def _keep(self, wav: bytes) -> str:
        self.clips.append(wav)
        return "cd" * 32


def test_a_walk_is_carried_to_its_end() -> None:
    """Everything is said, told, heard and kept."""
    stage = Stage()

    stage.run()

    assert stage.session.walk.phase is Phase.SIGNED
    assert stage.voice.said[-1] == "Signed. Thank you."
    assert stage.kinds("answer") == ["answer"] * 10
    assert stage.kinds("listening") == ["listening"] * stage.ear.listened
    answers = stage.session.walk.answers
    assert list(answers) == [p.id for p in CHECKLIST.checkpoints]


def test_what_is_told_of_one_answer_comes_in_order() -> None:
    """Prompt, listening with all that may be said, speech, heard, answer, read-back."""
    stage = Stage()

    stage.run()

    told = [kind for kind, data in stage.told if data.get("checkpoint") == "left_wheel"]
    assert told == ["prompt", "listening", "answer", "readback"]
    listening = next(
        data
        for kind, data in stage.told
        if kind == "listening" and data["checkpoint"] == "left_wheel"
    )
    assert listening["question"] == "condition"
    assert {"good", "defect", "skip"} <= set(listening["phrases"])
    assert listening["numbers"] is False
    first = stage.kinds("listening", "speech", "heard", "readback")[:4]
    assert first == ["listening", "speech", "heard", "readback"]


def test_the_time_to_look_counts_from_the_prompt() -> None:
    """Prompt half a second, tone, two seconds: after_prompt_s tells it."""
    stage = Stage()
    kept: list[ev.How] = []
    commit = stage.session.commit

    def watch_commit(event: ev.WalkEvent, how: ev.How | None = None) -> object:
        if how is not None:
            kept.append(how)
        return commit(event, how)

    stage.session.commit = watch_commit
    stage.run()

    assert kept[1].after_prompt_s == pytest.approx(2.5 + 0.12, abs=0.05)


def test_a_note_is_recorded_and_kept_as_sound() -> None:
    """Its file goes where clips are kept, its hash into the walk."""
    stage = Stage(condition=["make a note", "good"])

    stage.run()

    (clip,) = stage.clips
    assert clip[:4] == b"RIFF"
    (note,) = stage.session.walk.notes
    assert (note.checkpoint_id, note.clip_sha256) == ("left_wheel", "cd" * 32)
    assert note.seconds == pytest.approx(1.0)
    assert stage.kinds("recording", "note") == ["recording", "note"]


def test_a_note_that_nobody_spoke_is_not_kept() -> None:
    """No clip, no event."""
    stage = Stage(condition=["make a note", "good"])
    stage.ear.noted = np.zeros(0, np.float32)

    stage.run()

    assert stage.clips == []
    assert "No note heard." in stage.voice.said


def test_every_other_sound_may_lose_the_loudspeaker() -> None:
    """Wherever sound goes, in words and tones, the walk ends with the same answers,
    and every answer is told exactly once."""
    whole = Stage()
    whole.run()

    for lost_at in range(1, whole.link.played, 2):
        stage = Stage()
        stage.link.lost_at = {lost_at}
        stage.run()

        assert stage.session.walk.answers == whole.session.walk.answers
        told = [d["checkpoint"] for k, d in stage.told if k == "answer"]
        assert told == [p.id for p in CHECKLIST.checkpoints], lost_at
        assert stage.kinds("device_lost", "device_back") == [
            "device_lost",
            "device_back",
        ]
        assert "Sound is back." in stage.voice.said


def test_a_lost_microphone_asks_the_same_again() -> None:
    """Nothing was heard, so nothing is kept; the prompt comes once more."""
    stage = Stage()
    stage.ear.lost_at = {6}
    stage.run()

    back = stage.voice.said.index("Sound is back.")
    assert stage.voice.said[back + 1] == stage.voice.said[back - 1]
    assert stage.link.reopened == 2
    assert stage.session.walk.phase is Phase.SIGNED


def test_nobody_waits_for_a_device_after_the_end() -> None:
    """The walk is signed: its record must be written, sound or not."""
    whole = Stage()
    whole.run()
    stage = Stage()
    stage.link.lost_at = {whole.link.played}

    stage.run()

    assert stage.session.walk.phase is Phase.SIGNED
    assert stage.link.reopened == 0
    assert stage.kinds("device_lost") == ["device_lost"]


def test_what_the_end_has_to_tell_is_told_without_sound() -> None:
    """The decision of a stopped walk reaches whoever watches."""
    whole = Stage(start_check=["no"])
    whole.run()
    last_turn = whole.voice.said[-3:]
    assert last_turn[0] == "Stop. Park it first."
    stage = Stage(start_check=["no"])
    stage.link.lost_at = {whole.link.played - 2}

    stage.run()

    (decision,) = [data for kind, data in stage.told if kind == "decision"]
    assert decision["outcome"] == "out_of_service"
