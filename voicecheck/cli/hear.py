"""`voicecheck hear`: what does the recogniser hear in sound files?"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.speech.file_listener import FileListener
    from voicecheck.speech.ports import ActiveSet


def hear(
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="FILE.wav",
            help="Sound files: any rate, mono or more, 16 or 24 bit or float.",
            show_default=False,
        ),
    ] = None,
    question: Annotated[
        str | None,
        typer.Option("--question", metavar="NAME", help="What is being asked."),
    ] = None,
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    engine: Annotated[
        Engine | None, typer.Option("--engine", help="Recogniser to use.")
    ] = None,
    operator: Annotated[
        str,
        typer.Option(
            "--operator", metavar="ID", help="Who speaks; uses their voice profile."
        ),
    ] = "",
    list_questions: Annotated[
        bool,
        typer.Option(
            "--list-questions",
            help="Print question -> {phrase: meaning} as one JSON object.",
        ),
    ] = False,
) -> None:
    """Say what is heard in sound files, one JSON line for each.

    A file goes the way of the microphone: voice activity, end-pointing,
    recogniser, confirmation. Keys: file; phrase and meaning (null when nothing
    was found or it is rejected); guess, the phrase that was rejected;
    confidence, 0 to 1; outcome, accept, confirm or reject; utterances, pieces
    of speech found, of which the most confident counts; engine; sound_s and
    computing_s, seconds of sound and of computing.

    With --operator ID the voice profile of that operator is used, where there is
    one; after some words the standard error tells when it is another voice.

    Exit status: 0 all files were heard, whatever was in them; 1 a file could
    not be read (its line has "error" instead), the others were heard; 2 wrong
    use.

    Example: voicecheck hear --question condition answer.wav
    """
    from voicecheck.errors import UsageError  # noqa: PLC0415

    if list_questions:
        typer.echo(json_text(_questions(lang)))
        return
    if question is None:
        raise UsageError(
            "say what is being asked with --question NAME; "
            "voicecheck hear --list-questions shows the names"
        )
    if not files:
        raise UsageError("name at least one sound file to hear")
    raise typer.Exit(_hear_all(files, question, lang, engine, operator))


def _questions(language: str) -> dict[str, dict[str, str]]:
    from voicecheck.speech.grammar.active import meanings_by_phrase  # noqa: PLC0415
    from voicecheck.speech.grammar.files import question_names  # noqa: PLC0415

    return {
        name: meanings_by_phrase(name, language) for name in question_names(language)
    }


def _hear_all(
    files: list[Path],
    question: str,
    language: str,
    engine: Engine | None,
    operator: str = "",
) -> int:
    from voicecheck.audio.activity import SileroActivity  # noqa: PLC0415
    from voicecheck.cli.voices import hearing, mismatch_text  # noqa: PLC0415
    from voicecheck.errors import SoundError  # noqa: PLC0415
    from voicecheck.speech.file_listener import FileListener  # noqa: PLC0415
    from voicecheck.speech.grammar.active import active_set  # noqa: PLC0415

    active = active_set(question, language)
    found = hearing(language, engine, operator, _aside)
    recogniser = found.recogniser
    listener = FileListener(recogniser, SileroActivity())
    status = 0
    for file in files:
        try:
            line = {**_hear_one(file, listener, active), "engine": recogniser.name}
        except SoundError as error:
            line = {"file": str(file), "error": str(error)}
            status = 1
        print(json_text(line), flush=True)
        if found.voice is not None and found.voice.mismatch_news():
            _aside(mismatch_text(found.voice.operator))
    return status


def _aside(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _hear_one(file: Path, listener: FileListener, active: ActiveSet) -> dict[str, Any]:
    from voicecheck.audio.files import read_sound  # noqa: PLC0415
    from voicecheck.audio.frames import RATE_HZ  # noqa: PLC0415
    from voicecheck.dialogue.confirmation import Outcome, decide  # noqa: PLC0415

    began_s = time.perf_counter()
    frames = read_sound(file)
    heard = listener.hear(frames, active)
    outcome = decide(heard.hypotheses)
    took_s = time.perf_counter() - began_s
    best = heard.hypotheses[0] if heard.hypotheses else None
    taken = best if outcome is not Outcome.REJECT else None
    return {
        "file": str(file),
        "question": active.question,
        "phrase": taken.phrase if taken else None,
        "meaning": taken.meaning if taken else None,
        "guess": best.phrase if best and not taken else None,
        "confidence": round(best.confidence, 4) if best else 0.0,
        "outcome": outcome.value,
        "utterances": heard.utterances,
        "sound_s": round(len(frames) / RATE_HZ, 3),
        "computing_s": round(took_s, 3),
    }
