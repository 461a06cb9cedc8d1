"""`voicecheck demo`: a whole walk with a simulated operator who really speaks."""

from __future__ import annotations

import json as json_module
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.audio.noise import NoiseKind
from voicecheck.clock import SystemClock
from voicecheck.speech.engines import Engine

if TYPE_CHECKING:
    from voicecheck.demo.play import DemoResult, DemoSettings
    from voicecheck.round.answers import Answer
    from voicecheck.round.checklist import Checklist


def demo(
    snr: Annotated[
        float | None,
        typer.Option(
            "--snr",
            metavar="DB",
            help="Speech level over noise level at the microphone. "
            "Without it: 15; a quiet place: --noise quiet.",
        ),
    ] = None,
    noise: Annotated[
        NoiseKind, typer.Option("--noise", metavar="KIND", help=_kinds())
    ] = NoiseKind.YARD,
    seed: Annotated[
        int, typer.Option("--seed", metavar="N", help="Which scenario and noise.")
    ] = 1,
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers",
            metavar="FILE",
            help="JSON file: what the operator means to answer, by checkpoint.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="DIR",
            help="Folder for record.json, answers.json and record.html.",
        ),
    ] = None,
    real_time: Annotated[
        bool, typer.Option("--real-time", help="Take as long as a real walk.")
    ] = False,
    checklist: Annotated[
        str, typer.Option("--checklist", metavar="NAME", help="Which walk.")
    ] = "wheel-loader",
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    engine: Annotated[
        Engine | None, typer.Option("--engine", help="Recogniser to use.")
    ] = None,
    confirm: Annotated[
        str, typer.Option("--confirm", help="findings, or always.")
    ] = "findings",
    full: Annotated[
        bool, typer.Option("--full/--brief", help="Prompts for learners.")
    ] = False,
    operator: Annotated[
        str, typer.Option("--operator", metavar="ID", help="Who walks.")
    ] = "demo",
    enrol: Annotated[
        bool,
        typer.Option("--enrol", help="Let the simulated operator enrol first."),
    ] = False,
    no_learn: Annotated[
        bool,
        typer.Option("--no-learn", help="Learn no voice from this walk."),
    ] = False,
    learn: Annotated[
        bool,
        typer.Option(
            "--learn", help="Instead: a simulated learner practises for a month."
        ),
    ] = False,
    observe: Annotated[
        bool,
        typer.Option(
            "--observe", help="Instead: an assessor watches a simulated trainee."
        ),
    ] = False,
    seeds: Annotated[
        int,
        typer.Option(
            "--seeds",
            metavar="N",
            min=1,
            help="How many simulated trainees, from --seed on.",
        ),
    ] = 40,
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as one JSON object.")
    ] = False,
) -> None:
    """Walk round a machine with a simulated operator, faster than real time.

    The operator's voice is synthesised, mixed with yard noise, and goes through
    the same voice activity, recogniser, dialogue and record that a microphone
    feeds. What is recorded is what was heard. The exit status is 1 when the
    record differs from what the operator meant.

    With --learn or --observe nothing is spoken: a simulated trainee with known
    weaknesses is practised with or watched, one is shown, and over many seeds the
    figures are held against what was put in.

    Example: voicecheck demo --snr 10 --noise idle --seed 3 --out demo-out
    """
    if learn or observe:
        _trainee(learn and observe, learn, (checklist, lang, seed, seeds), json)
        return

    from voicecheck.cli.wiring import confirms_always  # noqa: PLC0415
    from voicecheck.demo.play import DemoSettings  # noqa: PLC0415
    from voicecheck.store.names import operator_id  # noqa: PLC0415

    quiet = noise is NoiseKind.QUIET
    settings = DemoSettings(
        snr_db=None if quiet else (15.0 if snr is None else snr),
        kind=noise,
        seed=seed,
        language=lang,
        real_time=real_time,
        confirm_always=confirms_always(confirm),
        full=full,
        start=SystemClock().now(),
        operator=operator_id(operator) or "demo",
    )
    if enrol:
        from voicecheck.cli.demo_enrol import enrol_simulated  # noqa: PLC0415

        enrol_simulated(settings)
    status = _run(settings, checklist, answers, out, engine, json, not no_learn)
    raise typer.Exit(status)


def _trainee(
    both: bool, learn: bool, chosen: tuple[str, str, int, int], as_json: bool
) -> None:
    from voicecheck.cli.demo_trainee import demo_learn, demo_observe  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415

    if both:
        raise UsageError("give --learn or --observe, one after the other")
    (demo_learn if learn else demo_observe)(*chosen, as_json=as_json)


def _kinds() -> str:
    return "One of: " + ", ".join(kind.value for kind in NoiseKind) + "."


def _run(
    settings: DemoSettings,
    checklist_name: str,
    answers: Path | None,
    out: Path | None,
    engine: Engine | None,
    as_json: bool,
    learn: bool = False,
) -> int:
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.cli import wiring  # noqa: PLC0415
    from voicecheck.cli.progress import WalkDisplay  # noqa: PLC0415
    from voicecheck.cli.voices import hearing  # noqa: PLC0415
    from voicecheck.demo.play import play  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415
    from voicecheck.store.session import WalkSession  # noqa: PLC0415

    checklist = load(checklist_name, settings.language)
    meant = _meant(checklist, answers, settings.seed)
    found = hearing(
        settings.language,
        engine,
        settings.operator,
        _aside,
        learn=learn,
        at_once=not settings.real_time,
    )
    display = WalkDisplay(checklist, prompts=settings.real_time)
    began_s = time.perf_counter()

    def watch(kind: str, data: Mapping[str, Any]) -> None:
        if not as_json:
            display.watch(kind, data)

    with wiring.synthesiser() as synthesiser, open_journal() as journal:
        result = play(
            checklist,
            meant,
            found.recogniser,
            synthesiser,
            settings,
            found.watched(watch, None, None),
            lambda clock: WalkSession.start(
                journal,
                clock,
                checklist,
                unit=settings.unit,
                operator=settings.operator,
                language=settings.language,
                mode="simulated",
            ),
            display.said.append,
        )
    took_s = time.perf_counter() - began_s
    found.learn(_aside)
    files = _write(out, checklist, meant, result) if out else {}
    if as_json:
        typer.echo(json_module.dumps(_summary(result, took_s, files)))
    else:
        _report(result, settings, took_s, files)
    return 1 if result.differences else 0


def _aside(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _meant(checklist: Checklist, answers: Path | None, seed: int) -> dict[str, Answer]:
    from voicecheck.demo.scenario import seeded_answers  # noqa: PLC0415
    from voicecheck.record import answers_file  # noqa: PLC0415

    if answers is None:
        return seeded_answers(checklist, seed)
    return answers_file.load_complete(answers, checklist)


def _write(
    out: Path, checklist: Checklist, meant: dict[str, Answer], result: DemoResult
) -> dict[str, str]:
    """Write the three files of `--out`; return their paths."""
    from voicecheck.record import answers_file  # noqa: PLC0415
    from voicecheck.report.page import render  # noqa: PLC0415

    out.mkdir(parents=True, exist_ok=True)
    record_text = result.record.path.read_text(encoding="utf-8")
    texts = {
        "record.json": record_text,
        "answers.json": answers_file.dump(meant, checklist),
        "record.html": render(json_module.loads(record_text)),
    }
    for name, text in texts.items():
        (out / name).write_text(text, encoding="utf-8")
    return {name: str(out / name) for name in texts}


def _summary(
    result: DemoResult, took_s: float, files: Mapping[str, str]
) -> dict[str, Any]:
    return {
        "record_id": result.record.record_id,
        "record": str(result.record.path),
        "outcome": result.session.walk.decision.outcome.value,
        "findings": len(result.session.walk.findings),
        "answers": result.answers,
        "listened": result.listened,
        "nomatch": result.counts.get("nomatch", 0),
        "differences": [
            {
                "checkpoint": d.checkpoint_id,
                "meant": d.meant,
                "recorded": d.recorded,
            }
            for d in result.differences
        ],
        "walk_s": round(result.simulated_s, 1),
        "prompts_s": round(result.prompts_s, 1),
        "took_s": round(took_s, 1),
        "files": dict(files),
    }


def _report(
    result: DemoResult,
    settings: DemoSettings,
    took_s: float,
    files: Mapping[str, str],
) -> None:
    from voicecheck.cli.outcome import print_outcome  # noqa: PLC0415
    from voicecheck.dialogue.wording import Wording  # noqa: PLC0415

    walk = result.session.walk
    print_outcome(walk, Wording(walk.checklist, settings.language), typer.echo)
    place = (
        "a quiet place"
        if settings.snr_db is None
        else (f"{settings.kind.value} noise, {settings.snr_db:g} dB")
    )
    turns = result.listened / max(1, result.answers)
    typer.echo(
        f"\n{result.answers} answers in {place}: {result.listened} times listened "
        f"({turns:.2f} for each answer), {result.counts.get('nomatch', 0)} not "
        f"understood, {result.counts.get('withdrawn', 0)} taken back."
    )
    typer.echo(
        f"A walk of {result.simulated_s / 60:.1f} minutes, of which "
        f"{result.prompts_s / 60:.1f} spoken to the operator, computed in "
        f"{took_s:.0f} s."
    )
    typer.echo(f"Record {result.record.record_id}: {result.record.path}")
    for path in files.values():
        typer.echo(f"  {path}")
    if result.differences:
        typer.echo("\nDIFFERENT from what the operator meant:")
        for different in result.differences:
            typer.echo(
                f"  {different.checkpoint_id}: meant {dict(different.meant or {})}, "
                f"recorded {dict(different.recorded or {})}"
            )
    else:
        typer.echo("The record is what the operator meant, point for point.")
