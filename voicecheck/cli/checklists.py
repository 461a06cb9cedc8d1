"""`voicecheck checklists`: list, show, lint and begin what is asked on a walk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules

if TYPE_CHECKING:
    from voicecheck.checklists.lint import FurtherCheck
    from voicecheck.checklists.problems import Problem

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="List, show, lint and begin checklists.\n\n"
    "A checklist is a TOML file; name one that comes with voicecheck, or give "
    "the path of your own.\n\n"
    "Example: voicecheck checklists show wheel-loader",
)

_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


@app.command("list")
def list_checklists(json: _Json = False) -> None:
    """List the checklists that come with voicecheck.

    Example: voicecheck checklists list
    """
    from voicecheck.checklists.loader import available, load  # noqa: PLC0415

    listed: list[dict[str, Any]] = []
    for found in available():
        checklist = load(found.name, found.languages[0])
        listed.append(
            {
                "name": found.name,
                "version": found.version,
                "title": found.title,
                "languages": list(found.languages),
                "zones": len(checklist.zones),
                "checkpoints": len(checklist.checkpoints),
                "sha256": checklist.sha256,
            }
        )
    if json:
        typer.echo(json_text(listed))
        return
    for row in listed:
        typer.echo(
            f"{row['name']}  {row['version']}  {row['title']}: {row['checkpoints']} "
            f"points in {row['zones']} zones ({', '.join(row['languages'])})"
        )


@app.command()
def show(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Name of a checklist, or its file.")
    ] = "wheel-loader",
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    site_rules: SiteRules = None,
    json: _Json = False,
) -> None:
    """Show a checklist: zones, points, cautions, what makes the machine unfit.

    The answers that put the machine out of service stand under each point with
    the rules that say so, taken one at a time with everything else in order.
    In JSON every bad answer stands with its outcome.

    Example: voicecheck checklists show wheel-loader --lang en
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.cli.checklist_text import (  # noqa: PLC0415
        checklist_data,
        checklist_lines,
    )

    checklist = load(name, lang, site_rules)
    if json:
        typer.echo(json_text(checklist_data(checklist)))
        return
    for line in checklist_lines(checklist):
        typer.echo(line)


@app.command()
def lint(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A checklist file, or a name.")
    ],
    json: _Json = False,
) -> None:
    """Check a checklist file, its translations and what can be answered to it.

    Tells everything that is wrong with it, among it texts that cannot be
    spoken, zones that form no continuous way, climbs without a way down,
    fluids that nobody can say, and words that the recogniser does not know.
    The exit status is 1 when there are errors; warnings leave it 0.

    Example: voicecheck checklists lint my-loader.toml
    """
    from voicecheck.checklists.lint import lint as lint_file  # noqa: PLC0415
    from voicecheck.checklists.problems import ProblemSeverity  # noqa: PLC0415

    problems = lint_file(str(file), _further_checks())
    errors = sum(p.severity is ProblemSeverity.ERROR for p in problems)
    if json:
        typer.echo(json_text(_lint_data(file, problems, errors)))
    else:
        _print_problems(file, problems, errors)
    if errors:
        raise typer.Exit(1)


@app.command()
def new(
    name: Annotated[
        str,
        typer.Argument(metavar="NAME", help="Of the new checklist, like road-roller."),
    ],
    machine: Annotated[
        str,
        typer.Option(
            "--machine", metavar="WORDS", help="What it is for, in plain spoken words."
        ),
    ],
    folder: Annotated[
        Path, typer.Option("--to", metavar="FOLDER", help="Where to write the file.")
    ] = Path(),
    force: Annotated[
        bool, typer.Option("--force", help="Write over a file that is there.")
    ] = False,
) -> None:
    """Begin a checklist of your own: NAME.toml with every kind of question.

    The file is whole and can be walked as it is; remarks in it say how to go
    on. It is linted at once. A file that is there is left as it is.

    Example: voicecheck checklists new road-roller --machine "small road roller"
    """
    from voicecheck.checklists.lint import lint as lint_file  # noqa: PLC0415
    from voicecheck.checklists.problems import ProblemSeverity  # noqa: PLC0415
    from voicecheck.checklists.scaffold import write_scaffold  # noqa: PLC0415

    path = write_scaffold(folder, name, machine, force=force)
    problems = lint_file(path, _further_checks())
    errors = sum(p.severity is ProblemSeverity.ERROR for p in problems)
    _print_problems(path, problems, errors)
    if errors:
        raise typer.Exit(1)
    typer.echo(f"Written. Open {path} and go on as the remarks at its top say.")


def _print_problems(file: Path, problems: tuple[Problem, ...], errors: int) -> None:
    for problem in problems:
        typer.echo(str(problem))
    warnings = len(problems) - errors
    typer.echo(f"{file}: {_count(errors, 'error')}, {_count(warnings, 'warning')}")


def _further_checks() -> tuple[FurtherCheck, ...]:
    from voicecheck.learn.spoken.lint import places_can_be_said  # noqa: PLC0415
    from voicecheck.speech.grammar.lint import (  # noqa: PLC0415
        answers_can_be_said,
        phrases_are_known,
    )
    from voicecheck.speech.vocabulary.lint import (  # noqa: PLC0415
        meanings_sound_apart,
    )

    return (
        answers_can_be_said,
        phrases_are_known("en", _english_dictionary()),
        meanings_sound_apart,
        places_can_be_said,
    )


def _english_dictionary() -> Callable[[str], bool]:
    from voicecheck.speech.pocketsphinx_recogniser import (  # noqa: PLC0415
        PocketSphinxRecogniser,
    )

    return PocketSphinxRecogniser("en").knows


def _lint_data(
    file: Path, problems: tuple[Problem, ...], errors: int
) -> dict[str, Any]:
    return {
        "file": str(file),
        "ok": errors == 0,
        "problems": [
            {"severity": p.severity.value, "place": p.place, "text": p.text}
            for p in problems
        ],
    }


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
