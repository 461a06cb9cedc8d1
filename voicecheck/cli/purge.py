"""`voicecheck purge`: throw away what no rule of keeping asks for any more."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from voicecheck.store.keeping import Verdict


def purge(
    records: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[ID]...", help="Only these walks; without: all that may go."
        ),
    ] = None,
    policy: Annotated[
        Path | None,
        typer.Option(
            "--policy",
            metavar="FILE",
            help="The site's rules, TOML: keep_days (365 without a file) and "
            "keep_days_after_correction.",
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would go, and why not.")
    ] = False,
) -> None:
    """Throw away old walks, as far as the rules of keeping allow.

    Whatever the policy says, a walk is kept until each defect that it found is
    corrected and checked (30 CFR 56.14100(d)), and the newest signed walk of a
    unit until the next one is recorded. When an ID must be kept, nothing is
    thrown away and the exit status is 1. What went is written down.

    Example: voicecheck purge --policy site-keeping.toml --dry-run
    """
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.errors import KeepingError  # noqa: PLC0415
    from voicecheck.store import archive  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415
    from voicecheck.store.keeping import load_policy  # noqa: PLC0415
    from voicecheck.store.purge import Purge  # noqa: PLC0415

    rules, now = load_policy(policy), SystemClock().now()
    wanted = None
    if records:
        with open_journal() as journal:
            wanted = {archive.find(journal, one) for one in records}
    with Purge.open() as store:
        judged = store.judge(rules, now)
        asked = [one for one in judged if wanted is None or one.walk.walk_id in wanted]
        going = [one.walk.walk_id for one in asked if one.may_go]
        for one in asked:
            typer.echo(_line(one))
        if dry_run:
            typer.echo(f"{len(going)} of {len(asked)} walks would go; nothing is gone.")
            return
        try:
            gone = store.throw_away(
                going if wanted is None else wanted, rules, now, settings.home()
            )
        except KeepingError as error:
            typer.echo(f"voicecheck: {error}", err=True)
            raise typer.Exit(1) from error
    typer.echo(f"{len(gone)} of {len(asked)} walks were thrown away.")


def _line(one: Verdict) -> str:
    walk = one.walk
    why = "; ".join(one.reasons) if one.reasons else "may go"
    return f"{walk.walk_id[:8]}  {walk.started_utc[:10]}  {walk.unit:<12}  {why}"
