"""The whole walk through the simulated sound path.

The operator's voice is synthesised, mixed with noise, and reaches the program
block by block; nothing else does. What is recorded is compared with what was
meant by the caller, never by the program.
"""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from voicecheck.audio.noise import NoiseKind
from voicecheck.checklists.loader import load
from voicecheck.clock import ManualClock
from voicecheck.demo.play import DemoResult, DemoSettings, play
from voicecheck.demo.scenario import seeded_answers
from voicecheck.form.filling import fill
from voicecheck.record.document import schema as record_schema
from voicecheck.round.answers import Answer, CouldNotCheck, Reason
from voicecheck.round.checklist import Checklist
from voicecheck.speech.engines import make_recogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.store.session import WalkSession
from voicecheck.testing.memory_journal import MemoryJournal


def walk(
    folder: Path, language: str, snr_db: float | None, kind: NoiseKind, seed: int
) -> DemoResult:
    """One simulated walk on the wheel loader."""
    checklist = load("wheel-loader", language)
    meant = answers(checklist, language, seed)
    journal = MemoryJournal()
    settings = DemoSettings(snr_db=snr_db, kind=kind, seed=seed, language=language)
    with Pyttsx3Synthesiser(folder / "spoken") as synthesiser:
        return play(
            checklist,
            meant,
            make_recogniser(language),
            synthesiser,
            settings,
            lambda _kind, _data: None,
            lambda clock: WalkSession.start(
                journal,
                clock,
                checklist,
                unit="L-12",
                language=language,
                mode="simulated",
                folder=folder,
            ),
        )


def answers(checklist: Checklist, language: str, seed: int) -> dict[str, Answer]:
    """What is meant.

    The packaged small Korean model does not understand digits of the synthetic
    Korean voice: readings are answered with "cannot check" there.
    """
    meant = seeded_answers(checklist, seed)
    if language == "ko":
        unread = CouldNotCheck(reason=Reason.NO_TOOL)
        meant |= {p.id: unread for p in checklist.checkpoints if p.reading}
    return meant


def typed_hash(folder: Path, language: str, seed: int) -> str:
    """The hash of the same answers, typed in English."""
    checklist = load("wheel-loader", "en")
    session = WalkSession.start(
        MemoryJournal(),
        ManualClock(),
        checklist,
        unit="L-12",
        mode="typed",
        folder=folder / "typed",
    )
    fill(session, answers(checklist, language, seed))
    record = json.loads(session.finish().path.read_text(encoding="utf-8"))
    return str(record["content_sha256"])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("language", "snr_db", "kind", "seed"),
    [("en", 12.0, NoiseKind.YARD, 5), ("ko", 20.0, NoiseKind.IDLE, 2)],
    ids=["english-pocketsphinx", "korean-vosk"],
)
def test_what_is_recorded_is_what_was_meant(
    tmp_path: Path, language: str, snr_db: float, kind: NoiseKind, seed: int
) -> None:
    """Every point is as meant, and the content is that of the same answers typed."""
    result = walk(tmp_path, language, snr_db, kind, seed)

    record = json.loads(result.record.path.read_text(encoding="utf-8"))
    assert result.differences == ()
    assert result.answers == 99
    assert record["content"]["status"] == "signed"
    assert record["walk"]["language"] == language
    jsonschema.validate(record, record_schema())
    assert record["content_sha256"] == typed_hash(tmp_path, language, seed)
