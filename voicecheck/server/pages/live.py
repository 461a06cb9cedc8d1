"""Walks that are going on, and one of them as it goes."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Header, Request
from fastapi.responses import HTMLResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from voicecheck.clock import utc_text
from voicecheck.errors import VoicecheckError
from voicecheck.server import fleet_view
from voicecheck.server.forms import outcomes
from voicecheck.server.live import Follower, Line
from voicecheck.server.render import environment, page
from voicecheck.server.site import Site, row_of, site_of
from voicecheck.server.walks.sittings import checklist_of
from voicecheck.server.words import Words

router = APIRouter(default_response_class=HTMLResponse)

_MOST = 100
"""Unfinished walks in the list, the newest."""
_LEFT = timedelta(days=14)
"""Older ones stand on the page of their unit: a store of years is not searched."""
_NEWEST = 100
"""Lines on a page that is opened late."""
_QUIET_LOOKS = 30
"""Looks into a quiet journal before a sign of life is sent."""
_STREAM = {"text/event-stream": {"schema": {"type": "string"}}}


@router.get("/live", responses=outcomes(409, 503))
def all_live(request: Request) -> Response:
    """List walks that are not finished, those of this shift first."""
    site = site_of(request)
    now = site.clock.now()
    since_utc = utc_text(now - _LEFT)
    rows = site.fleet.walks(None, since_utc, unfinished=True, limit=_MOST)
    going = [row for row in rows if fleet_view.is_in_progress(row, now)]
    left = [row for row in rows if not fleet_view.is_in_progress(row, now)]
    return page(request, "live_list", going=going, left=left)


@router.get("/live/{walk_id}", responses=outcomes(404, 409, 503))
def follow(request: Request, walk_id: UUID) -> Response:
    """Show a walk as it goes; without scripts, as it stood when opened."""
    site = site_of(request)
    row = row_of(request, str(walk_id))
    follower = _follower(site, row.walk_id)
    lines = follower.take_in(site.journal.entries(row.walk_id))
    return page(
        request,
        "live",
        row=row,
        seq=follower.seq,
        now=follower.now(),
        lines=lines[::-1][:_NEWEST],
        walk_words=follower.words,
    )


@router.get(
    "/live/{walk_id}/events",
    responses={
        **outcomes(404, 409, 503),
        200: {"description": "Server-sent events", "content": _STREAM},
    },
    response_class=Response,
)
async def events(
    request: Request,
    walk_id: UUID,
    after: int = 0,
    last_event_id: Annotated[str, Header(max_length=20)] = "",
) -> Response:
    """Send what is new, until the walk has a record or the browser leaves.

    Each event `line` holds the HTML of one line of the list, `now` that of the
    state above it; both are drawn by the templates of the page. `over` ends it.
    """
    site = site_of(request)
    seen = int(last_event_id) if last_event_id.isdecimal() else after
    follower = await run_in_threadpool(_caught_up, request, str(walk_id), seen)
    return StreamingResponse(
        _stream(request, site, str(walk_id), follower), media_type="text/event-stream"
    )


def _follower(site: Site, walk_id: str) -> Follower:
    checklist, language = checklist_of(site.journal, site.journal.entries(walk_id))
    return Follower(checklist, Words(language))


def _caught_up(request: Request, walk_id: str, seen: int) -> Follower:
    site = site_of(request)
    row_of(request, walk_id)  # or it is not there
    follower = _follower(site, walk_id)
    follower.take_in(site.journal.entries(walk_id)[: max(0, seen)])
    return follower


async def _stream(
    request: Request, site: Site, walk_id: str, follower: Follower
) -> AsyncIterator[str]:
    yield "retry: 2000\n\n"
    looks = 0
    while not await request.is_disconnected():
        try:
            entries = await run_in_threadpool(site.journal.entries, walk_id)
        except VoicecheckError as error:
            yield _event("failed", _escaped(str(error)), follower.seq)
            return
        lines = follower.take_in(entries)
        for line in lines:
            yield _event("line", _drawn(follower, line), line.seq)
        if lines:
            yield _event("now", _state(follower), follower.seq)
        if follower.walk.over:
            yield _event("over", _escaped(walk_id), follower.seq)
            return
        looks = 0 if lines else looks + 1
        if looks >= _QUIET_LOOKS:
            looks = 0
            yield ": nothing new\n\n"
        await asyncio.sleep(site.settings.poll_s)


def _drawn(follower: Follower, line: Line) -> str:
    template = environment().get_template("live_line.html.j2")
    return template.render(t=follower.words, line=line)


def _state(follower: Follower) -> str:
    template = environment().get_template("live_now.html.j2")
    return template.render(t=follower.words, now=follower.now())


def _escaped(text: str) -> str:
    return environment().from_string("{{ text }}").render(text=text)


def _event(name: str, data: str, seq: int) -> str:
    """Write one event (https://html.spec.whatwg.org/multipage/server-sent-events.html)."""
    lines = "".join(f"data: {line}\n" for line in data.splitlines())
    return f"event: {name}\nid: {seq}\n{lines}\n"
