"""`voicecheck people`: who learns and judges, and what is kept of them."""

from __future__ import annotations

import json as json_module
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.people.roles import Role

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Learners, assessors and supervisors, and their personal results.\n\n"
    "A learner's results are the learner's: they see them, the assessor what that "
    "assessor wrote, a supervisor all. Every look is written down. At this terminal "
    "a name is believed; the file can be read by its owner only.\n\n"
    "Example: voicecheck people list --as C.Poe",
)

_Who = Annotated[str, typer.Argument(metavar="ID", help="The person.")]
_By = Annotated[
    str,
    typer.Option("--by", metavar="ID", help="Who does it; a person with the right."),
]
_As = Annotated[str, typer.Option("--as", metavar="ID", help="Who looks.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


@app.command()
def add(
    who: _Who,
    by: _By,
    role: Annotated[
        list[Role] | None,
        typer.Option("--role", help="What for; give it again for a second role."),
    ] = None,
) -> None:
    """Register a person, or give somebody who is there these roles instead.

    Everybody may register themselves as a learner, which is what happens without
    --role. Other roles are given by a supervisor; the first supervisor names
    themselves.

    Example: voicecheck people add M.Roe --role assessor --by C.Poe
    """
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        person = store.register(who, role or [Role.LEARNER], by=by)
    typer.echo(f"{person.id}: {_roles(person.roles)}")


@app.command("list")
def list_people(reader: _As, json: _Json = False) -> None:
    """List the people that somebody may know of, with their roles.

    Example: voicecheck people list --as C.Poe
    """
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        people = store.people(reader)
    if json:
        rows = [
            {
                "id": one.id,
                "roles": sorted(one.roles),
                "registered_utc": one.registered_utc,
                "registered_by": one.registered_by,
            }
            for one in people
        ]
        typer.echo(json_text(rows))
        return
    for one in people:
        since = _local(one.registered_utc)
        typer.echo(f"{one.id:<16}  {_roles(one.roles):<32}  since {since:%Y-%m-%d}")


@app.command()
def code(who: _Who, by: _By) -> None:
    """Make an access code for the browser; it is shown this once only.

    An older code of the person counts no longer. Only a slow hash of it is kept,
    and after five wrong tries each further one has to wait.

    Example: voicecheck people code J.Doe --by J.Doe
    """
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        new = store.issue_code(who, by=by)
    typer.echo(new)
    typer.echo(
        f"Give it to {who} in person. It cannot be shown again; this command makes "
        "a new one.",
        err=True,
    )


@app.command()
def looks(who: _Who, reader: _As, json: _Json = False) -> None:
    """Show who has looked at a person's results, and who was refused.

    Example: voicecheck people looks J.Doe --as J.Doe
    """
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        found = store.looks(who, reader)
    if json:
        rows = [
            {
                "reader": one.reader,
                "what": one.what,
                "at_utc": one.at_utc,
                "allowed": one.allowed,
            }
            for one in found
        ]
        typer.echo(json_text(rows))
        return
    for one in found:
        refused = "" if one.allowed else "  REFUSED"
        at = _local(one.at_utc)
        typer.echo(f"{at:%Y-%m-%d %H:%M}  {one.reader:<16}  {one.what}{refused}")
    if not found:
        typer.echo(f"Nobody has looked at the results of {who} yet.")


@app.command()
def export(
    who: _Who,
    reader: _As,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Where to; without: print it."),
    ] = None,
) -> None:
    """Give a person everything that is kept of them, as JSON.

    The schema is voicecheck/people/person.schema.json. Only the person and
    supervisors may.

    Example: voicecheck people export J.Doe --as J.Doe --out j-doe.json
    """
    from voicecheck.atomic_file import replace_file  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    with PeopleStore() as store:
        document = store.export(who, reader)
    if out is None:
        typer.echo(json_text(document))
        return
    text = json_module.dumps(document, indent=2, ensure_ascii=False) + "\n"
    try:
        replace_file(out, text.encode(), 0o600)
    except OSError as error:
        raise UsageError(f"{out} cannot be written: {error}") from error
    typer.echo(f"{len(document['events'])} results of {who} are in {out}.")


@app.command()
def erase(
    who: _Who,
    by: _By,
    yes: Annotated[
        bool, typer.Option("--yes", help="Do not ask; there is no way back.")
    ] = False,
) -> None:
    """Erase a person and all their results; only that it was done is kept.

    What they did for others stays under another name; a seal that names them can
    then no longer be checked. Walks in the journal are no personal results: the
    rules of keeping ask for them. A voice profile has its own command: voicecheck
    enrol --delete. Backups, exports and files of sealed scenarios are yours to
    think of.

    Example: voicecheck people erase J.Doe --by J.Doe
    """
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415

    if not yes:
        typer.confirm(f"Erase {who} and all their results for good?", abort=True)
    with PeopleStore() as store:
        gone = store.erase(who, by=by)
    typer.echo(
        f"{who} is erased with {gone.events} results. Their work for others stands "
        f"under {gone.pseudonym}."
    )


def _roles(roles: frozenset[Role]) -> str:
    return ", ".join(role.value for role in Role if role in roles)


def _local(at_utc: str) -> datetime:
    return datetime.fromisoformat(at_utc).astimezone()
