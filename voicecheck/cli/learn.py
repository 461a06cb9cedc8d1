"""`voicecheck learn`: the trainee's plan, practice and progress."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules
from voicecheck.speech.engines import Engine

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Learn the walk: its order, what is wrong, and what may work.\n\n"
    "Results are the learner's own: kept apart from the records of machines, and "
    "each look at them is written down. Practice does not replace the manual of "
    "the machine or a competent person.\n\n"
    "Example: voicecheck learn plan --learner J.Doe",
)

Learner: TypeAlias = Annotated[
    str, typer.Option("--learner", metavar="ID", help="Who practises, as J.Doe.")
]
ChecklistName: TypeAlias = Annotated[
    str, typer.Option("--checklist", metavar="NAME", help="Which walk, or its file.")
]
Lang: TypeAlias = Annotated[str, typer.Option("--lang", help="Language, en or ko.")]
Typed: TypeAlias = Annotated[
    bool, typer.Option("--typed", help="With the keyboard instead of a headset.")
]
Json: TypeAlias = Annotated[
    bool, typer.Option("--json", help="Print the result as JSON; all else on stderr.")
]
Minutes: TypeAlias = Annotated[
    float, typer.Option("--minutes", min=1, max=120, help="The most that it may take.")
]
Zones: TypeAlias = Annotated[
    list[str] | None,
    typer.Option("--zone", metavar="ID", help="Only this zone; may be repeated."),
]
Input: TypeAlias = Annotated[
    str | None,
    typer.Option("--input", metavar="DEV", help="Microphone: number or part of name."),
]
Output: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--output", metavar="DEV", help="Loudspeaker: number or part of name."
    ),
]
EngineName: TypeAlias = Annotated[
    Engine | None, typer.Option("--engine", help="Recogniser to use.")
]


@app.command()
def plan(
    learner: Learner,
    checklist: ChecklistName = "wheel-loader",
    lang: Lang = "en",
    minutes: Minutes = 10.0,
    json: Json = False,
) -> None:
    """Say what to practise in today's ten minutes, and in which order.

    What is due comes first, then what is new, in walking order. Somebody who has
    practised nothing begins at the first zone.

    Example: voicecheck learn plan --learner J.Doe --minutes 10
    """
    from voicecheck.cli.learn_sitting import Desk  # noqa: PLC0415
    from voicecheck.cli.learn_text import plan_lines  # noqa: PLC0415

    with Desk(learner, checklist, lang) as desk:
        today = desk.plan(minutes)
    if json:
        from voicecheck.learn.report.document import plan_document  # noqa: PLC0415

        typer.echo(json_text(plan_document(today, learner, desk.checklist.name)))
        return
    for line in plan_lines(today, desk.checklist, learner):
        typer.echo(line)


@app.command()
def spot(
    learner: Learner,
    checklist: ChecklistName = "wheel-loader",
    lang: Lang = "en",
    typed: Typed = False,
    minutes: Minutes = 10.0,
    count: Annotated[
        int | None, typer.Option("--count", min=1, max=500, help="So many situations.")
    ] = None,
    zone: Zones = None,
    site_rules: SiteRules = None,
    json: Json = False,
    input_: Input = None,
    output: Output = None,
    engine: EngineName = None,
) -> None:
    """Spot and call: hear what is seen at a point, and call it.

    Good, defect or leak; how bad, or which class; may the machine work. Each call
    is judged at once, with the rule, its source and a caution. What is due today
    comes first. Every answer is kept at once: stop whenever you like.

    Example: voicecheck learn spot --learner J.Doe --typed --count 10
    """
    from voicecheck.cli.learn_sitting import Desk, Means  # noqa: PLC0415
    from voicecheck.learn.sessions.spot import Spot  # noqa: PLC0415

    means = Means(typed=typed, input=input_, output=output, engine=engine, json=json)
    with Desk(learner, checklist, lang, site_rules) as desk:
        desk.enrol(means)
        situations = desk.calls(minutes=minutes, count=count, zones=zone or ())
        desk.sit(Spot(desk.checklist, situations), means)


@app.command("next")
def next_(
    learner: Learner,
    checklist: ChecklistName = "wheel-loader",
    lang: Lang = "en",
    typed: Typed = False,
    zone: Zones = None,
    zones_only: Annotated[
        bool, typer.Option("--zones-only", help="The zones, without their points.")
    ] = False,
    new: Annotated[
        bool,
        typer.Option("--new", help="Begin anew though a sitting broke off."),
    ] = False,
    json: Json = False,
    input_: Input = None,
    output: Output = None,
    engine: EngineName = None,
) -> None:
    """What comes next? Say zones and points in order, from memory.

    Ask for a hint with help, or with ? at the keyboard; hints count. The order is
    compared at the end of each zone and of the walk. A sitting that broke off is
    taken up where it was.

    Example: voicecheck learn next --learner J.Doe --typed --zone bucket
    """
    from voicecheck.cli.learn_sitting import Desk, Means  # noqa: PLC0415
    from voicecheck.learn.sessions.next_point import NextPoint  # noqa: PLC0415

    means = Means(typed=typed, input=input_, output=output, engine=engine, json=json)
    with Desk(learner, checklist, lang) as desk:
        session = NextPoint(desk.checklist, zones=zone, points=not zones_only)
        desk.enrol(means)
        scope = ",".join([desk.checklist.name, str(zones_only), *sorted(zone or ())])
        desk.sit(desk.recorded(session, scope, means, anew=new), means)


@app.command()
def guided(
    learner: Learner,
    checklist: ChecklistName = "wheel-loader",
    lang: Lang = "en",
    typed: Typed = False,
    zone: Zones = None,
    new: Annotated[
        bool, typer.Option("--new", help="Begin at the first point again.")
    ] = False,
    json: Json = False,
    input_: Input = None,
    output: Output = None,
    engine: EngineName = None,
) -> None:
    """Go round with all there is to know: look, what is wrong, why, hazards.

    At your own pace, with no machine or beside one. It goes on behind the point
    that you looked at last.

    Example: voicecheck learn guided --learner J.Doe --typed
    """
    from voicecheck.cli.learn_sitting import Desk, Means  # noqa: PLC0415
    from voicecheck.learn.sessions.guided import Guided  # noqa: PLC0415

    means = Means(typed=typed, input=input_, output=output, engine=engine, json=json)
    with Desk(learner, checklist, lang) as desk:
        desk.enrol(means)
        begin = None if new or zone else desk.guided_from()
        desk.sit(Guided(desk.checklist, zones=zone, begin_at=begin), means)


@app.command()
def progress(
    learner: Learner,
    checklist: ChecklistName = "wheel-loader",
    lang: Lang = "en",
    reader: Annotated[
        str | None,
        typer.Option("--as", metavar="ID", help="Who looks; else the learner."),
    ] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", metavar="FILE")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE")] = None,
    font: Annotated[
        Path | None,
        typer.Option("--font", metavar="FILE", help="A TrueType font to write with."),
    ] = None,
    json: Json = False,
) -> None:
    """Show where a learner stands: coverage, order, detection, severity.

    With intervals, week by week, and with what to practise next and why. Only the
    learner and those with the right may look; each look is written down.

    Example: voicecheck learn progress --learner J.Doe --pdf progress.pdf
    """
    from voicecheck.cli.learn_sitting import Desk  # noqa: PLC0415
    from voicecheck.cli.report import write  # noqa: PLC0415
    from voicecheck.learn.report.document import progress_document  # noqa: PLC0415
    from voicecheck.learn.report.page import page  # noqa: PLC0415
    from voicecheck.learn.report.pdf import pdf as pdf_of  # noqa: PLC0415

    with Desk(learner, checklist, lang) as desk:
        shown = desk.view(reader)
    if pdf is not None:
        write(pdf, pdf_of(shown, font=font))
    if html is not None:
        write(html, page(shown).encode())
    if json:
        typer.echo(json_text(progress_document(shown)))
    elif pdf is None and html is None:
        from rich.console import Console  # noqa: PLC0415

        from voicecheck.learn.report.terminal import terminal_view  # noqa: PLC0415

        console = Console()
        for part in terminal_view(shown):
            console.print(part)
