"""`voicecheck observe`: plant faults, mark a walk, and judge it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli import observe_listen, observe_plan, observe_report
from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules

if TYPE_CHECKING:
    from voicecheck.observe.observation import Observation
    from voicecheck.round.checklist import Checklist

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Watch a trainee's walk and judge it by criteria, with honest figures.\n\n"
    "Plan and seal what is planted, begin, mark, end, then see the result. An "
    "observation is named J.Doe (the newest of that trainee) or J.Doe/3f2a. The "
    "criteria propose; the assessor, a competent person, decides and signs.\n\n"
    "Example: voicecheck observe plan monday.toml",
)

_By = Annotated[str, typer.Option("--by", metavar="ID", help="The assessor.")]
_As = Annotated[str, typer.Option("--as", metavar="ID", help="Who looks.")]
_Which = Annotated[
    str, typer.Argument(metavar="OBSERVATION", help="As J.Doe, or J.Doe/3f2a.")
]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


@app.command()
def begin(
    trainee: Annotated[str, typer.Option("--trainee", metavar="ID", help="Who walks.")],
    unit: Annotated[str, typer.Option("--unit", metavar="ID", help="The machine.")],
    by: _By,
    seal_: Annotated[
        str,
        typer.Option("--seal", metavar="LETTERS", help="How the commitment begins."),
    ],
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    site_rules: SiteRules = None,
    json: _Json = False,
) -> None:
    """Begin to watch a trainee. The scenario must be sealed by now.

    Where the trainee walks with voicecheck as well, call the unit "L-12 training"
    here and there: what is found on such a unit opens no defect.

    Example: voicecheck observe begin --trainee J.Doe --unit L-12 --by C.Poe --seal 3f2a91c0
    """  # noqa: E501
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.observe import sealed_files  # noqa: PLC0415
    from voicecheck.store.names import unit_id  # noqa: PLC0415

    closed = sealed_files.find(seal_, settings.home())
    points = load(closed.scenario.checklist, lang, site_rules)
    with observations() as kept:
        begun = kept.begin(
            trainee=trainee,
            unit=unit_id(unit),
            checklist=points,
            sealed=closed,
            by=by,
            language=lang,
        )
    name = f"{trainee}/{str(begun.observation)[:8]}"
    if json:
        typer.echo(json_text({"observation": str(begun.observation), "name": name}))
        return
    typer.echo(name)
    typer.echo(
        f"Begun. Mark with: voicecheck observe mark {trainee} --by {by}", err=True
    )


@app.command()
def mark(
    which: _Which,
    by: _By,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[MARK...]",
            help="As: glanced left_front_nuts; without: type lines.",
        ),
    ] = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT")] = "",
) -> None:
    """Mark what the trainee does: one mark, or one a line until "end".

    A line is looked, glanced, missed, order, called, real_fault or unsafe, then
    the point (without it: the next one, or the newest for what belongs to it),
    for called also severity or leak class, for unsafe the act, and a note behind
    a #. "undo" takes the newest mark back. Words may be cut short.

    Example: voicecheck observe mark J.Doe glanced left_front_nuts --by C.Poe
    """
    from voicecheck.cli.observe_marking import Marking  # noqa: PLC0415

    with observations() as kept:
        seen = kept.find(which, by)
        marking = Marking(kept, seen, checklist_of(seen), by)
        if words:
            line = " ".join(words) + (f" # {note}" if note else "")
            said, right = marking.take(line)
            typer.echo(said, err=not right)
            raise typer.Exit(0 if right else 2)
        refused = 0
        for line in _typed_lines(marking.waiting):
            said, right = marking.take(line)
            typer.echo(said, err=not right)
            refused += not right
            if marking.over:
                break
    if refused:
        typer.echo(f"{refused} lines were not taken; see above", err=True)
        raise typer.Exit(1)


@app.command()
def end(
    which: _Which,
    by: _By,
    walk: Annotated[
        str | None,
        typer.Option(
            "--walk",
            metavar="WALK",
            help="The trainee's record; none: marks alone; without: the one there is.",
        ),
    ] = None,
    reason: Annotated[
        str,
        typer.Option("--reason", metavar="TEXT", help="Why it was broken off."),
    ] = "",
    sealed: Annotated[
        Path | None,
        typer.Option("--sealed", metavar="FILE", help="Sealed on another computer."),
    ] = None,
) -> None:
    """End the walk and open the seal; take the trainee's own record along.

    Example: voicecheck observe end J.Doe --by C.Poe
    """
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.cli.observe_walk import record_of  # noqa: PLC0415
    from voicecheck.observe import sealed_files  # noqa: PLC0415
    from voicecheck.observe.keeping import started  # noqa: PLC0415

    with observations() as kept:
        seen = kept.find(which, by)
        begun = started(seen)
        closed = (
            sealed_files.read(sealed)
            if sealed
            else sealed_files.find(begun.commitment, settings.home())
        )
        record = record_of(begun, walk)
        kept.end(seen, by=by, sealed=closed, record=record, reason=reason)
    told = f"the record {record['record_id'][:8]}" if record else "the marks alone"
    typer.echo(f"Ended; the seal is open. What was called is told by {told}.")
    typer.echo(f"See: voicecheck observe result {which} --as {by}", err=True)


@app.command("list")
def list_observations(
    reader: _As,
    trainee: Annotated[
        str | None, typer.Option("--trainee", metavar="ID", help="Only of this one.")
    ] = None,
    json: _Json = False,
) -> None:
    """List observations that somebody may see, the newest first. It is a look.

    Example: voicecheck observe list --as C.Poe
    """
    with observations() as kept:
        found = kept.visible(reader, trainee)
    rows = [_row(one) for one in found]
    if json:
        typer.echo(json_text(rows))
        return
    for row in rows:
        typer.echo(
            f"{row['name']:<24}  {row['begun_utc'][:16]}  {row['unit']:<8}  "
            f"by {row['assessor']:<12}  {row['state']}"
        )
    if not rows:
        typer.echo("There are no observations yet, or none that you may see.")


app.command("listen")(observe_listen.listen)
app.command("plan")(observe_plan.plan)
app.command("seal")(observe_plan.seal)
app.command("result")(observe_report.result)
app.command("sign")(observe_report.sign)
app.command("appeal")(observe_report.appeal)
app.command("compare")(observe_report.compare)
app.command("course")(observe_report.course)


def observations() -> Any:
    """Open the observations of this computer; a context manager."""
    from voicecheck.cli.observe_walk import open_observations  # noqa: PLC0415

    return open_observations()


def checklist_of(seen: Observation) -> Checklist:
    """Return the checklist of an observation, in its language."""
    from voicecheck.cli.observe_walk import checklist_of as of  # noqa: PLC0415

    return of(seen)


def _row(seen: Observation) -> dict[str, Any]:
    begun = seen.begun
    assert begun is not None
    return {
        "name": f"{begun.trainee}/{str(seen.observation)[:8]}",
        "observation": str(seen.observation),
        "trainee": begun.trainee,
        "assessor": begun.by,
        "unit": begun.unit,
        "checklist": begun.checklist,
        "begun_utc": begun.at_utc,
        "marks": len(seen.marks),
        "appeals": len(seen.appeals),
        "signed": sorted({str(one.role) for one in seen.signatures}),
        "state": _state(seen),
    }


def _typed_lines(waiting: Any) -> Iterator[str]:
    """Read lines; at a keyboard say before each which point comes next."""
    while True:
        if sys.stdin.isatty():
            typer.echo(f"{waiting()} > ", nl=False, err=True)
        line = sys.stdin.readline()
        if not line:
            return
        if line.strip():
            yield line


def _state(seen: Observation) -> str:
    if seen.ended is None:
        return "under way"
    return "ended, with an appeal" if seen.appeals else "ended"
