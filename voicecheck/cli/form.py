"""`voicecheck form`: the same walk, typed."""

from __future__ import annotations

import io
import json as json_module
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules

if TYPE_CHECKING:
    from voicecheck.round.answers import Answer
    from voicecheck.round.checklist import Checklist
    from voicecheck.store.journal import SqlJournal
    from voicecheck.store.session import RecordRef, WalkSession


def form(
    unit: Annotated[
        str, typer.Option("--unit", metavar="ID", help="The machine, as L-12.")
    ],
    operator: Annotated[
        str, typer.Option("--operator", metavar="ID", help="Who walks round it.")
    ] = "",
    checklist: Annotated[
        str,
        typer.Option("--checklist", metavar="NAME", help="Which walk, or its file."),
    ] = "wheel-loader",
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers",
            metavar="FILE",
            help="Take every answer from this JSON file, and sign.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Receives the record's JSON."),
    ] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Take up the unit's unfinished walk.")
    ] = False,
    site_rules: SiteRules = None,
    json: Annotated[
        bool,
        typer.Option("--json", help="Print the result as JSON; the form on stderr."),
    ] = False,
) -> None:
    """Walk round a machine with a keyboard instead of a voice.

    Questions, rules and record are those of the spoken walk: the same answers
    give the same content hash. Type back, skip, repeat, help, left, note TEXT,
    pause or stop at any time. A walk that was left can be taken up with
    --resume; nothing that was answered is lost.

    With --answers nobody is asked anything. The file must answer every point
    (a start check answered no ends the walk), and giving it is the
    declaration, by whoever gives it, that they looked at each of them.

    Exit status: 0 the walk was finished and signed, and the machine may work,
    with or without defects; 1 it was finished with a negative result (out of
    service, not signed, stopped) or put aside, so the machine is not released;
    2 wrong use.

    Example: voicecheck form --unit L-12 --operator J.Doe --out record.json
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.form.filling import fill  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415

    loaded = load(checklist, lang, site_rules)
    given = None if answers is None else _given(answers, loaded)
    if not _released(unit, lang, asked=given is None, err=json):
        raise typer.Exit(1)
    with open_journal() as journal:
        session = _session(
            journal, loaded, unit=unit, operator=operator, lang=lang, resume=resume
        )
        if given is None:
            _ask(session, lang, err=json)
        else:
            fill(session, given)
        status = _end(session, lang, out, as_json=json, asked=given is None)
    raise typer.Exit(status)


def _released(unit: str, language: str, *, asked: bool, err: bool) -> bool:
    """Read out the tag of a machine out of service; ask only for its release."""
    from voicecheck.cli.hold_release import (  # noqa: PLC0415
        keyboard,
        may_begin,
        typed,
    )

    return may_begin(
        unit,
        say=lambda line: typer.echo(line, err=err),
        releases=typed(keyboard()) if asked else None,
        language=language,
    )


def _given(path: Path, checklist: Checklist) -> dict[str, Answer]:
    """Read the answers before anything is begun."""
    from voicecheck.form.filling import check_complete  # noqa: PLC0415
    from voicecheck.record import answers_file  # noqa: PLC0415

    answers = answers_file.load(path, checklist)
    check_complete(checklist, answers)
    return answers


def _session(
    journal: SqlJournal,
    checklist: Checklist,
    *,
    unit: str,
    operator: str,
    lang: str,
    resume: bool,
) -> WalkSession:
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.store.session import WalkSession  # noqa: PLC0415

    if resume:
        return WalkSession.resume(
            journal,
            SystemClock(),
            checklist,
            unit=unit,
            operator=operator,
            mode="typed",
            language=lang,
        )
    return WalkSession.start(
        journal,
        SystemClock(),
        checklist,
        unit=unit,
        operator=operator,
        language=lang,
        mode="typed",
    )


def _ask(session: WalkSession, language: str, *, err: bool) -> None:
    """Ask at the keyboard until the walk is over or left."""
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.form.pages import Pages  # noqa: PLC0415
    from voicecheck.form.typed_walk import TypedWalk  # noqa: PLC0415

    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")  # what is no text is no answer
    clock = SystemClock()
    typed = TypedWalk(session, Pages(session.walk.checklist, language))
    page = typed.begin(clock.monotonic_s())
    while True:
        typer.echo("\n".join(page.lines), err=err)
        if page.entry is None:
            return
        typer.echo("> ", err=err, nl=False)
        line = _read_line()
        if not line:
            typed.put_aside("no_input")
            typer.echo("\nNothing more can be read from the keyboard.", err=err)
            return
        page = typed.typed(line, clock.monotonic_s())


def _read_line() -> str:
    """Return one line with its end, or nothing when there will be no more."""
    try:
        return sys.stdin.readline()
    except KeyboardInterrupt:
        return ""


def _end(
    session: WalkSession,
    language: str,
    out: Path | None,
    *,
    as_json: bool,
    asked: bool,
) -> int:
    """Write the record, say how the walk ended, return the exit status."""
    from voicecheck.cli.status import walk_status  # noqa: PLC0415

    walk = session.walk
    record = session.finish() if walk.over else None
    if record is not None and out is not None:
        from voicecheck.store.files import write_atomically  # noqa: PLC0415

        write_atomically(out, record.path.read_bytes())
    if as_json:
        typer.echo(json_text(_summary(session, record, out)))
    elif record is None:
        _say_how_to_resume(session, language)
    else:
        _say_outcome(session, record, language, out, asked=asked)
    return walk_status(walk)


def _say_how_to_resume(session: WalkSession, language: str) -> None:
    walk = session.walk
    unit = walk.started.unit if walk.started else ""
    more = "" if language == "en" else f" --lang {language}"
    typer.echo(
        f"The walk of {unit} is not finished: {walk.remaining} points left, the "
        "machine is not released.\nEverything that was answered is kept. Carry on "
        f'with: voicecheck form --unit "{unit}" --resume{more}'
    )


def _say_outcome(
    session: WalkSession,
    record: RecordRef,
    language: str,
    out: Path | None,
    *,
    asked: bool,
) -> None:
    from voicecheck.cli.outcome import print_outcome  # noqa: PLC0415
    from voicecheck.dialogue.wording import Wording  # noqa: PLC0415

    wording = Wording(session.walk.checklist, language)
    if asked:  # the findings stand on the screen already
        typer.echo(f"\n{wording.outcome(session.walk.decision.outcome)}")
    else:
        print_outcome(session.walk, wording, typer.echo)
    typer.echo(f"Record {record.record_id}: {record.path}")
    if out is not None:
        typer.echo(f"  {out}")


def _summary(
    session: WalkSession, record: RecordRef | None, out: Path | None
) -> dict[str, Any]:
    walk = session.walk
    document = json_module.loads(record.path.read_text("utf-8")) if record else {}
    return {
        "record_id": session.walk_id,
        "finished": record is not None,
        "status": walk.phase.value if walk.over else "unfinished",
        "outcome": walk.decision.outcome.value,
        "answers": len(walk.answers),
        "left": 0 if walk.over else walk.remaining,
        "findings": len(walk.findings),
        "record": str(record.path) if record else None,
        "content_sha256": document.get("content_sha256"),
        "out": str(out) if record and out else None,
    }
