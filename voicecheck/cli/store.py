"""`voicecheck store`: the whole database out into a file, and back."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Export and import a whole store, as lines of JSON.\n\n"
    "Which store: --store URL before the command, or VOICECHECK_STORE_URL, or the "
    "one of this computer.\n\n"
    "Example: voicecheck store export --out fleet.jsonl",
)


@app.command("export")
def export_store(
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Without it: standard output."),
    ] = None,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print the JSON Schema of a line instead.")
    ] = False,
) -> None:
    """Write everything that a store holds: walks, records, defects, fleet list.

    The last line has a hash over all others, so that a cut or altered file is
    refused. Spoken notes are sound files and stay where they are.

    Example: voicecheck store export --out fleet.jsonl
    """
    from voicecheck.store.database import Database  # noqa: PLC0415
    from voicecheck.store.dump import export_lines, schema_text  # noqa: PLC0415

    if schema:
        typer.echo(schema_text(), nl=False)
        return
    with Database.open() as store:
        if out is None:
            for line in export_lines(store):
                typer.echo(line.decode(), nl=False)
            return
        _write(out, export_lines(store))
    typer.echo(f"Written: {out}", err=True)


@app.command("import")
def import_store(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="What export wrote.")],
) -> None:
    """Bring an exported store into this one; what is here is kept.

    Doing it twice changes nothing. The exit status is 1 when a walk or defect
    could not be taken in.

    Example: voicecheck store import fleet.jsonl
    """
    from voicecheck.cli.push import say_progress, summary  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.store.dump import import_lines  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    try:
        with file.open("rb") as lines, open_fleet() as store:
            result = import_lines(lines, store, progress=say_progress)
    except OSError as error:
        raise UsageError(f"{file} cannot be read: {error.strerror or error}") from error
    typer.echo(summary(result))
    if not result.ok:
        raise typer.Exit(1)


def _write(out: Path, lines: object) -> None:
    """Write a large file so that it is whole or not there."""
    from collections.abc import Iterable  # noqa: PLC0415

    from voicecheck.errors import UsageError  # noqa: PLC0415

    assert isinstance(lines, Iterable)
    try:
        with tempfile.NamedTemporaryFile(
            dir=out.parent, prefix=".", suffix=".part", delete=False
        ) as file:
            temporary = Path(file.name)
            file.writelines(lines)
        temporary.replace(out)
    except OSError as error:
        raise UsageError(
            f"{out} cannot be written: {error.strerror or error}"
        ) from error
