"""`voicecheck serve`: walks, units, defects and records in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voicecheck.cli.options import SiteRules

if TYPE_CHECKING:
    from voicecheck.server.settings import ServerSettings

_MISSING = (
    "the server is not installed: run pip install 'voicecheck[server]' "
    "(in a copy of the repository: pip install '.[server]'), then try again"
)


def serve(
    host: Annotated[
        str | None,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="Where to listen, as 192.0.2.7 or 0.0.0.0 for every network. "
            "Without it: this computer only. With it an access token is demanded.",
        ),
    ] = None,
    port: Annotated[
        int, typer.Option("--port", min=1, max=65535, help="Where to listen.")
    ] = 8470,
    lang: Annotated[
        str, typer.Option("--lang", help="Language of the pages, en or ko.")
    ] = "en",
    checklist: Annotated[
        list[Path] | None,
        typer.Option(
            "--checklist",
            metavar="FILE",
            help="An own checklist, offered beside the shipped ones; can be repeated.",
        ),
    ] = None,
    site_rules: SiteRules = None,
    tls_cert: Annotated[
        Path | None,
        typer.Option("--tls-cert", metavar="FILE", help="Certificate, PEM."),
    ] = None,
    tls_key: Annotated[
        Path | None,
        typer.Option("--tls-key", metavar="FILE", help="Its private key, PEM."),
    ] = None,
    accept_push: Annotated[
        bool,
        typer.Option(
            "--accept-push",
            help="Take what devices bring with voicecheck push; they need the push "
            "token, also from this computer.",
        ),
    ] = False,
    push_tokens: Annotated[
        Path | None,
        typer.Option(
            "--push-tokens",
            metavar="FILE",
            help="Push tokens, one a line; without it a file in the home folder, "
            "made at the first time.",
        ),
    ] = None,
) -> None:
    """Serve walks, units, defects and records as pages for a browser.

    The walk is the same as with voicecheck form, saved answer by answer, and
    can be taken up after the browser or this program died. Everything comes
    from this computer; no page needs the internet. Stop with Ctrl+C.

    Without --host only this computer can open the pages. With --host others on
    the network can, with the access token that is shown once at the start; give
    --tls-cert and --tls-key as well, or anybody on the same network can read
    along. With --accept-push devices can bring their walks and defects here; their
    push token opens no page.

    Example: voicecheck serve --port 8470
    """
    try:
        import uvicorn  # noqa: PLC0415

        from voicecheck.server.app import create_app  # noqa: PLC0415
        from voicecheck.server.push.routes import Pushes  # noqa: PLC0415
    except ModuleNotFoundError as error:
        from voicecheck.errors import UsageError  # noqa: PLC0415

        raise UsageError(_MISSING) from error
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.people.store import PeopleStore  # noqa: PLC0415
    from voicecheck.store.database_far_end import DatabaseFarEnd  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    settings = _settings(host, lang, checklist or [], site_rules, tls_cert, tls_key)
    taking = _tokens(settings.home, push_tokens) if accept_push else None
    with (
        open_journal() as journal,
        open_fleet() as fleet,
        Workshop.open() as workshop,
        PeopleStore() as people,
    ):
        app = create_app(
            settings,
            journal,
            SystemClock(),
            fleet=fleet,
            workshop=workshop,
            people=people,
            pushes=taking and Pushes(far_end=DatabaseFarEnd(fleet), tokens=taking[1]),
        )
        _tell(settings, host, port)
        if taking:
            typer.echo(f"Devices can push here; their token is in {taking[0]}")
        uvicorn.run(
            app,
            host=host or "127.0.0.1",
            port=port,
            log_level="warning",
            server_header=False,
            limit_concurrency=200,
            timeout_keep_alive=15,
            timeout_graceful_shutdown=2,
            ssl_certfile=tls_cert,
            ssl_keyfile=tls_key,
        )


def _settings(
    host: str | None,
    language: str,
    own: list[Path],
    site_rules: Path | None,
    tls_cert: Path | None,
    tls_key: Path | None,
) -> ServerSettings:
    """Refuse what does not fit together before anything is opened."""
    from voicecheck import settings as places  # noqa: PLC0415
    from voicecheck.checklists import load  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.server.security.secrets import new_token  # noqa: PLC0415
    from voicecheck.server.settings import LOOPBACK_NAMES, ServerSettings  # noqa: PLC0415
    from voicecheck.server.words import languages  # noqa: PLC0415

    if language not in languages():
        known = ", ".join(languages())
        raise UsageError(f"there are no pages in {language!r}: choose one of {known}")
    if (tls_cert is None) != (tls_key is None):
        raise UsageError("give --tls-cert and --tls-key together")
    for path in (tls_cert, tls_key):
        if path is not None and not path.is_file():
            raise UsageError(f"{path}: there is no such file")
    if tls_cert is not None and tls_key is not None:
        _check_tls(tls_cert, tls_key)
    loaded = {load(path, site_rules=site_rules).name: path for path in own}
    if not own and site_rules is not None:
        load("wheel-loader", site_rules=site_rules)
    return ServerSettings(
        home=places.home(),
        token=None if host is None else new_token(),
        host_names=LOOPBACK_NAMES if host is None else None,
        secure_cookies=tls_cert is not None,
        language=language,
        checklists=loaded,
        site_rules=site_rules,
    )


def _tokens(home: Path, given: Path | None) -> tuple[Path, tuple[str, ...]]:
    """Return the file of push tokens, and what it holds."""
    from voicecheck.server.push.door import TOKEN_FILE, push_tokens  # noqa: PLC0415

    path = given or home / TOKEN_FILE
    return path, push_tokens(path, make=given is None)


def _check_tls(certificate: Path, key: Path) -> None:
    """Refuse a certificate and a key that no browser could be answered with.

    Raises:
        UsageError: they cannot be read, or do not belong together.
    """
    from ssl import PROTOCOL_TLS_SERVER, SSLContext, SSLError  # noqa: PLC0415

    from voicecheck.errors import UsageError  # noqa: PLC0415

    try:
        # a key with a password would ask for it, over and over
        SSLContext(PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
    except (SSLError, OSError) as error:
        raise UsageError(
            f"{certificate} and {key} cannot be used ({error}): give a certificate "
            "and its private key, both PEM, the key without a password"
        ) from error


def _tell(settings: ServerSettings, host: str | None, port: int) -> None:
    scheme = "https" if settings.secure_cookies else "http"
    name = host or "127.0.0.1"
    shown = f"[{name}]" if ":" in name else name
    typer.echo(f"Open {scheme}://{shown}:{port}/ in a browser. Stop with Ctrl+C.")
    if settings.token is None:
        return
    typer.echo(f"Access token, shown only now: {settings.token}")
    if not settings.secure_cookies:
        typer.echo(
            "Without --tls-cert and --tls-key whoever is on the same network can "
            "read along, the token included.",
            err=True,
        )
