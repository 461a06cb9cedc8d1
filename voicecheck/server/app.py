"""Put the server together."""

from __future__ import annotations

from importlib.resources import as_file, files

from fastapi import FastAPI
from starlette.staticfiles import StaticFiles

from voicecheck import __version__
from voicecheck.clock import Clock
from voicecheck.people.store import PeopleStore
from voicecheck.server.failures import show_failures
from voicecheck.server.pages import every_router
from voicecheck.server.people.sessions import Sessions
from voicecheck.server.push.routes import MOST_BODY_BYTES as PUSH_BYTES
from voicecheck.server.push.routes import ROOT as PUSH_ROOT
from voicecheck.server.push.routes import Pushes, push_app
from voicecheck.server.security.entrance import Entrance
from voicecheck.server.security.gate import App, Gate, Receive, Scope, Send
from voicecheck.server.settings import ServerSettings
from voicecheck.server.site import Site
from voicecheck.server.walks.sittings import Sittings
from voicecheck.store.fleet import Fleet
from voicecheck.store.ports import Journal
from voicecheck.store.workshop import Workshop


def create_app(
    settings: ServerSettings,
    journal: Journal,
    clock: Clock,
    *,
    fleet: Fleet,
    workshop: Workshop,
    people: PeopleStore | None = None,
    pushes: Pushes | None = None,
) -> App:
    """Return the whole guarded application.

    Args:
        settings: how it is set up.
        journal: what it shows and writes; stays open as long as the server runs.
        clock: tells the time of each event.
        fleet: reads units, defects and walks of the same store.
        workshop: writes what is done about defects into the same store.
        people: personal results; None: no page shows any.
        pushes: takes what devices push; None: there is no such address.
    """
    entrance = Entrance(
        token=settings.token,
        secure=settings.secure_cookies,
        language=settings.language,
    )
    site = Site(
        settings=settings,
        journal=journal,
        fleet=fleet,
        workshop=workshop,
        clock=clock,
        sittings=Sittings(journal, clock, settings.home),
        entrance=entrance,
        people=people,
        sessions=Sessions(settings.home, clock),
    )
    pages = entrance.around(_pages(site))
    return Gate(
        pages if pushes is None else _beside(pages, push_app(pushes)),
        host_names=settings.host_names,
        most_body_bytes=settings.most_body_bytes,
        larger={PUSH_ROOT: PUSH_BYTES},
    )


def _beside(pages: App, pushed: App) -> App:
    """Lead devices past the pages' door, which has cookies and another token."""

    async def led(scope: Scope, receive: Receive, send: Send) -> None:
        is_push = scope["type"] == "http" and scope["path"].startswith(PUSH_ROOT)
        await (pushed if is_push else pages)(scope, receive, send)

    return led


def _pages(site: Site) -> FastAPI:
    # the usual documentation pages would fetch scripts from elsewhere
    app = FastAPI(
        title="voicecheck", version=__version__, docs_url=None, redoc_url=None
    )
    app.state.site = site
    show_failures(app)
    for router in every_router():
        app.include_router(router)
    with as_file(files("voicecheck.server") / "static") as folder:
        app.mount("/static", StaticFiles(directory=folder), name="static")
    return app
