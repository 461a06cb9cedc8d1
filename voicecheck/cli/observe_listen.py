"""`voicecheck observe listen`: marks by voice, with the assessor's own headset."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.errors import DeviceError, ObserveError
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.audio.device import DeviceLink
    from voicecheck.observe.spoken.listening import Watch


def listen(
    which: Annotated[
        str, typer.Argument(metavar="OBSERVATION", help="As J.Doe, or J.Doe/3f2a.")
    ],
    by: Annotated[str, typer.Option("--by", metavar="ID", help="The assessor.")],
    lang: Annotated[
        str | None,
        typer.Option("--lang", help="Of the words, en or ko; as it was begun."),
    ] = None,
    tone: Annotated[
        bool, typer.Option("--tone", help="Answer with a tone, not with words.")
    ] = False,
    words: Annotated[
        bool, typer.Option("--words", help="Print what may be said, and leave.")
    ] = False,
    input_: Annotated[
        str | None,
        typer.Option(
            "--input", metavar="NAME", help="Microphone, or part of its name."
        ),
    ] = None,
    output: Annotated[
        str | None, typer.Option("--output", metavar="NAME", help="Earpiece.")
    ] = None,
    engine: Annotated[
        Engine | None, typer.Option("--engine", help="Recogniser to use.")
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="Print each mark as a line of JSON.")
    ] = False,
) -> None:
    """Mark by voice while your eyes stay on the trainee.

    "Looked properly", "only glanced", "missed completely", "out of order",
    "unsafe act" or "called a fault" marks the point at hand; the first three go
    on to the next. "Undo last mark", "next point", "go back one", "go to" and a
    zone, "read it out", "stop marking". Each mark is kept first and then read
    back quietly; what was not surely heard gets a falling tone and no mark. Wear
    a headset that the trainee cannot hear. It was tried with synthetic voices
    only, so watch what is read back; the page marks as well.

    Example: voicecheck observe listen J.Doe --by C.Poe
    """
    from voicecheck.cli import wiring  # noqa: PLC0415
    from voicecheck.cli.observe_walk import (  # noqa: PLC0415
        checklist_of,
        open_observations,
    )
    from voicecheck.observe.keeping import started  # noqa: PLC0415
    from voicecheck.observe.spoken.listening import MarksListening  # noqa: PLC0415
    from voicecheck.observe.spoken.marking import Marking  # noqa: PLC0415
    from voicecheck.observe.spoken.words import mark_set  # noqa: PLC0415
    from voicecheck.speech.engines import make_recogniser  # noqa: PLC0415
    from voicecheck.speech.own_words import for_own_words  # noqa: PLC0415

    with open_observations() as kept:
        seen = kept.find(which, by)
        begun = started(seen)
        if begun.by != by:
            raise ObserveError(
                f"{begun.by} marks this walk; begin an observation of your own"
            )
        checklist = checklist_of(seen, lang)
        active = mark_set(checklist)
        if words:
            typer.echo("\n".join(phrase.text for phrase in active.phrases))
            return
        with _link(input_, output) as link, wiring.synthesiser() as speaker:
            for notice in link.notices:
                typer.echo(notice, err=True)
            marking = Marking(checklist, seen.observation, by, link.clock, seen.marks)
            recogniser = for_own_words(make_recogniser(checklist.language, engine))
            played = wiring.shaped(link)
            MarksListening(
                marking,
                active,
                played,
                wiring.marks_listener(played, recogniser),
                None if tone else speaker,
                lambda event: kept.add(begun.trainee, [event]),
                _shown(json),
            ).run()


def _link(input_: str | None, output: str | None) -> DeviceLink:
    """Open the devices first: without them nothing else need be loaded."""
    from voicecheck.audio.device import DeviceLink  # noqa: PLC0415

    try:
        return DeviceLink(input_device=input_, output_device=output)
    except DeviceError as error:
        raise DeviceError(
            f"{error}; or mark on the page, or with voicecheck observe mark"
        ) from error


def _shown(json: bool) -> Watch:
    """Return what prints what was taken."""

    def watch(kind: str, data: Mapping[str, Any]) -> None:
        if json:
            event = data.get("event")
            shown = {key: value for key, value in data.items() if key != "event"}
            shown["key"] = str(event.key) if event is not None else None
            typer.echo(json_text({"happened": kind, **shown}))
        elif kind == "taken":
            typer.echo(data["text"])
        elif kind == "not_taken":
            typer.echo(f"not taken: {data['guess'] or 'nothing like a mark'}", err=True)
        else:
            typer.echo(f"{kind}: {data.get('text', '')}", err=True)
        sys.stdout.flush()

    return watch
