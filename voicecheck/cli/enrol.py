"""`voicecheck enrol`: teach voicecheck one operator's voice."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from voicecheck.audio.noise import NoiseKind
from voicecheck.speech.enrolment.words import WordList


def enrol(
    operator: Annotated[
        str, typer.Option("--operator", metavar="ID", help="Whose voice.")
    ] = "",
    lang: Annotated[str, typer.Option("--lang", help="Language: en.")] = "en",
    words: Annotated[
        WordList,
        typer.Option(
            "--words",
            help="quick: eight words in a minute; short: twenty-one in about two; "
            "full: all.",
        ),
    ] = WordList.SHORT,
    word: Annotated[
        list[str] | None,
        typer.Option("--word", metavar="PHRASE", help="Only this; again and again."),
    ] = None,
    again: Annotated[
        bool, typer.Option("--again", help="Say all words again.")
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="DIR", help="Recordings: DIR/not-fitted/1.wav and so on."
        ),
    ] = None,
    input_: Annotated[
        str | None, typer.Option("--input", metavar="DEV", help="Microphone.")
    ] = None,
    output: Annotated[
        str | None, typer.Option("--output", metavar="DEV", help="Loudspeaker.")
    ] = None,
    simulate: Annotated[
        bool, typer.Option("--simulate", help="A synthetic voice speaks; no devices.")
    ] = False,
    noise: Annotated[
        NoiseKind, typer.Option("--noise", help="With --simulate: the noise.")
    ] = NoiseKind.QUIET,
    snr: Annotated[
        float, typer.Option("--snr", metavar="DB", help="With --simulate.")
    ] = 15.0,
    check: Annotated[
        bool, typer.Option("--check", help="How well the profile works, word by word.")
    ] = False,
    versions: Annotated[
        bool, typer.Option("--versions", help="List the versions.")
    ] = False,
    back: Annotated[
        int | None, typer.Option("--back", metavar="N", help="Use version N from now.")
    ] = None,
    learn: Annotated[
        bool | None,
        typer.Option("--learn/--no-learn", help="Whether walks improve the profile."),
    ] = None,
    delete: Annotated[
        bool, typer.Option("--delete", help="Remove the voice with all recordings.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    list_: Annotated[
        bool, typer.Option("--list", help="Whose voices are kept here.")
    ] = False,
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as JSON.")
    ] = False,
) -> None:
    """Say the words of the walk three times each, so that you are heard better.

    Each example is checked as it is said; after a break the same command goes on.
    Say pause, skip or stop at any time. A voice is personal data: recordings stay
    on this computer, in a folder that only you can read, and --delete removes
    them all. The exit status is 1 when words are left that could not be enrolled.

    Example: voicecheck enrol --operator kim --input headset
    """
    from voicecheck.cli import enrol_keep as keep  # noqa: PLC0415
    from voicecheck.cli import enrol_say as say  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.store.names import operator_id  # noqa: PLC0415

    if list_:
        keep.list_voices(json)
        return
    name = operator_id(operator)
    if not name:
        raise UsageError("say whose voice with --operator ID, as in --operator kim")
    if delete:
        keep.delete_voice(name, yes)
    elif versions:
        keep.list_versions(name, json)
    elif back is not None:
        keep.go_back(name, back)
    elif learn is not None:
        keep.set_learning(name, learn)
    elif check:
        raise typer.Exit(keep.check_voice(name, json))
    elif folder is not None:
        raise typer.Exit(say.from_folder(name, lang, folder, json))
    else:
        plan = say.Plan(
            operator=name,
            language=lang,
            words=say.wanted(lang, words, word),
            anew=again or bool(word),
            input_=input_,
            output=output,
        )
        simulated = (noise, snr) if simulate else None
        raise typer.Exit(say.spoken(plan, simulated))
