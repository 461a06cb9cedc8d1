"""`voicecheck push`: bring what this device has to another store."""

from __future__ import annotations

import json as json_module
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from voicecheck.store.conflicts import Conflict
    from voicecheck.store.far_end import FarEnd
    from voicecheck.store.transfer import Transfer

TOKEN = "VOICECHECK_PUSH_TOKEN"  # noqa: S105 - the name of the variable
"""Environment variable with the push token of the server."""


def push(
    to: Annotated[
        str,
        typer.Option(
            "--to",
            metavar="URL",
            help="A server as https://host:port, or a store: an SQLite file, or "
            "postgresql://user@host/name.",
        ),
    ],
    token_file: Annotated[
        Path | None,
        typer.Option(
            "--token-file",
            metavar="FILE",
            help="Holds the server's push token. Also: VOICECHECK_PUSH_TOKEN.",
        ),
    ] = None,
    ca: Annotated[
        Path | None,
        typer.Option(
            "--ca",
            metavar="FILE",
            help="Certificate (PEM) of the site's own authority.",
        ),
    ] = None,
    verify: Annotated[
        bool,
        typer.Option(
            "--verify", help="Also follow the chains that are at the far end already."
        ),
    ] = False,
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as JSON.")
    ] = False,
) -> None:
    """Bring walks, records and defects of this device to another store.

    As often as you like: what is there already is not sent again, and a push that
    was cut goes on where it was. The chain of hashes is verified here and, before
    anything is kept, at the far end. When two devices wrote about one unit without
    each other, all is kept and the conflict is named. The exit status is 1 when
    something could not be brought over or the link broke: it is still here then,
    and another push brings the rest; 2 when the far end cannot be used like this.
    This command opens a network connection when the URL asks for one.

    Example: voicecheck push --to https://fleet.example:8470 --token-file push-token
    """
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415
    from voicecheck.store.transfer import transfer  # noqa: PLC0415

    with open_fleet() as near, _far_end(to, token_file, ca, near.place) as far:
        result = transfer(
            near, far, folder=settings.home(), verify=verify, progress=say_progress
        )
        units = [status.unit for status in near.units()]
        conflicts = () if result.cut else far.conflicts(units)
    if json:
        data = {**asdict(result), "conflicts": [asdict(one) for one in conflicts]}
        typer.echo(json_module.dumps(data, ensure_ascii=False))
    else:
        _tell(result, conflicts)
    if not result.ok:
        raise typer.Exit(1)


@contextmanager
def _far_end(
    to: str, token_file: Path | None, ca: Path | None, near: str
) -> Iterator[FarEnd]:
    """Open the link that the address asks for."""
    from voicecheck.errors import UsageError  # noqa: PLC0415

    if to.lower().startswith(("http://", "https://")):
        from voicecheck.store.http_far_end import is_open_line, open_link  # noqa: PLC0415

        if is_open_line(to):
            typer.echo(
                "Without https whoever is on the same network can read along, the "
                "token included.",
                err=True,
            )
        with open_link(to, _token(token_file), ca=ca) as link:
            yield link
        return
    from voicecheck.store.database_far_end import DatabaseFarEnd  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    if token_file is not None or ca is not None:
        raise UsageError("--token-file and --ca are for --to https://…")
    with open_fleet(to) as far:
        if near == far.place:
            raise UsageError("--to names this very store; give the other one")
        yield DatabaseFarEnd(far)


def _token(file: Path | None) -> str:
    """Return the push token: never an argument, which every process could see."""
    from voicecheck.errors import UsageError  # noqa: PLC0415

    if file is None:
        given = os.environ.get(TOKEN, "").strip()
        if not given:
            raise UsageError(
                "a server wants its push token: put it into a file and give "
                f"--token-file FILE, or set {TOKEN}"
            )
        return given
    try:
        lines = file.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{file}: the token cannot be read: {error}") from error
    found = [line.strip() for line in lines if not line.startswith("#")]
    tokens = [line for line in found if line]
    if not tokens:
        raise UsageError(f"{file} is empty; it should hold the server's push token")
    return tokens[0]


def _tell(result: Transfer, conflicts: tuple[Conflict, ...]) -> None:
    typer.echo(summary(result))
    for one in conflicts:
        ids = ", ".join(one_id[:8] for one_id in (*one.defect_ids, *one.walk_ids))
        typer.echo(f"{one.unit}: {one.words}, both are kept ({ids})")


def say_progress(done: int, total: int) -> None:
    """Say on the standard error how far a long push is, after each batch."""
    if total > 20:
        typer.echo(f"{done} of {total}", err=True)


def summary(result: Transfer) -> str:
    """Return what was brought over, in words."""
    lines = [
        f"Brought over: {result.walks} walks with {result.entries} entries and "
        f"{result.records} records, {result.defects} defects; "
        f"{result.unchanged} were there already.",
        *(f"NOT brought over: {problem}" for problem in result.problems),
        *([f"CUT: {result.cut}"] if result.cut else []),
    ]
    return "\n".join(lines)
