"""The program `voicecheck`: all commands, errors as sentences, exit statuses."""

from __future__ import annotations

import os
import sys
from typing import Any

import typer

from voicecheck import __version__, settings
from voicecheck.cli import (
    bench,
    bench_store,
    checklists,
    defects,
    demo,
    devices,
    enrol,
    fleet,
    form,
    hear,
    learn,
    models,
    observe,
    people,
    purge,
    push,
    readings,
    records,
    report,
    serve,
    soundcheck,
    vocabulary,
    walk,
)
from voicecheck.cli import (
    store as store_,
)
from voicecheck.errors import VoicecheckError

app = typer.Typer(
    name="voicecheck",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "Talk an operator round a heavy machine, hear the answers offline, and "
        "write the inspection record.\n\n"
        "The tool supports the operator's judgement and never replaces it. The "
        "machine's manual, local law, the site's rules and a competent person "
        "come first.\n\n"
        "Example: voicecheck demo"
    ),
    epilog="Exit status: 0 done, 1 finished with a negative result, 2 wrong use.",
)
app.command("demo")(demo.demo)
app.command("walk")(walk.walk)
app.command("form")(form.form)
app.command("serve")(serve.serve)
app.command("hear")(hear.hear)
app.command("enrol")(enrol.enrol)
app.command("purge")(purge.purge)
app.command("push")(push.push)
app.command("devices")(devices.devices)
app.command("soundcheck")(soundcheck.soundcheck)
app.command("vocabulary")(vocabulary.vocabulary)
bench.app.command("store")(bench_store.store)
app.add_typer(bench.app, name="bench")
app.add_typer(records.app, name="records")
app.add_typer(report.app, name="report")
app.add_typer(defects.app, name="defects")
app.add_typer(fleet.app, name="fleet")
app.add_typer(store_.app, name="store")
app.add_typer(checklists.app, name="checklists")
app.add_typer(learn.app, name="learn")
app.add_typer(models.app, name="models")
app.add_typer(people.app, name="people")
app.add_typer(observe.app, name="observe")
app.add_typer(readings.app, name="readings")


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"voicecheck {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: bool = typer.Option(
        False,
        "--version",
        callback=_version,
        is_eager=True,
        help="Show the version and leave.",
    ),
    store: str | None = typer.Option(
        None,
        "--store",
        metavar="URL",
        help="Keep walks there instead of at home: an SQLite file, or "
        "postgresql://user@host/name. Also: VOICECHECK_STORE_URL.",
    ),
) -> None:
    """Options before the command."""
    if store is not None:
        os.environ[settings.STORE_URL] = store


def _wrong_use() -> Any:
    """Return the root of typer's errors, which is click's or typer's own copy."""
    return next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")


def main() -> None:
    """Run the program; leave with 0, 1 or 2."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # an old console must not fail on a Korean prompt
            stream.reconfigure(errors="replace")
    try:
        status = app(standalone_mode=False)
    except VoicecheckError as error:
        typer.echo(f"voicecheck: {error}", err=True)
        sys.exit(2)
    except _wrong_use() as error:
        error.show()
        sys.exit(2)
    except typer.Abort:
        typer.echo("voicecheck: stopped; what was confirmed is kept", err=True)
        sys.exit(1)
    except BrokenPipeError:
        sys.exit(1)
    sys.exit(status if isinstance(status, int) else 0)


if __name__ == "__main__":
    main()
