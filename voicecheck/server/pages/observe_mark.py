"""The page on which an assessor marks while the trainee walks.

The page itself is the same for everybody and may be kept by the browser; points,
names and marks come as data, only to the assessor who began the observation.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Header, HTTPException, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from voicecheck.clock import utc_text
from voicecheck.observe.marks import NOTE_CHARACTERS, Mark, MarkKind, UnsafeAct
from voicecheck.people.names import MOST_CHARACTERS
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Checklist
from voicecheck.server.forms import outcomes
from voicecheck.server.observing.batches import Answer, Batch, Place, take_in
from voicecheck.server.observing.watched import (
    Watched,
    begun_by,
    checklist_of,
    observations,
    watched_by,
)
from voicecheck.server.people.signed_in import SignedIn
from voicecheck.server.render import page
from voicecheck.server.site import site_of, words_of
from voicecheck.server.words import Words

router = APIRouter(default_response_class=HTMLResponse)

_MARKS = (
    MarkKind.LOOKED,
    MarkKind.GLANCED,
    MarkKind.MISSED,
    MarkKind.OUT_OF_ORDER,
    MarkKind.UNSAFE,
)
_CALLS = (MarkKind.CALLED, MarkKind.REAL_FAULT)
_TABLES = ("marking", "mark", "act", "severity", "leak")
_WORKER: dict[int | str, dict[str, Any]] = {
    200: {"description": "The script", "content": {"text/javascript": {}}}
}
_JSON: dict[int | str, dict[str, Any]] = {
    200: {"description": "What the page needs", "content": {"application/json": {}}}
}


def _own_page(
    request: Request,
    form_token: Annotated[
        str, Header(max_length=200, description="Stands in the plan.")
    ],
) -> None:
    """Refuse marks that do not come from a page of this server."""
    if not site_of(request).entrance.is_own_form(request, form_token):
        raise HTTPException(403)


@router.get("/observe/shell", responses=outcomes())
def shell(request: Request) -> Response:
    """Return the page without points and names, for the browser to keep."""
    words = words_of(request)
    return page(
        request,
        "observe_mark",
        texts=_texts(words),
        marks=[kind.value for kind in _MARKS],
        calls=[kind.value for kind in _CALLS],
        more=_more(),
        longest_note=NOTE_CHARACTERS,
    )


@router.get(
    "/observe/worker.js", responses={**outcomes(), **_WORKER}, response_class=Response
)
def worker() -> Response:
    """Return the script that opens the page again without a connection.

    It stands here, since a worker may only serve what lies below it.
    """
    script = files("voicecheck.server") / "static" / "mark_worker.js"
    return Response(
        script.read_bytes(),
        media_type="text/javascript",
        headers={"cache-control": "no-cache"},
    )


@router.get(
    "/observe/of/{trainee}/{observation}/mark",
    responses=outcomes(303, 404),
)
def mark(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> Response:
    """Show the marking page; its script asks for the plan."""
    return shell(request)


@router.get(
    "/observe/of/{trainee}/{observation}/plan",
    responses={**outcomes(303, 403, 404, 409, 503), **_JSON},
    response_class=JSONResponse,
)
def plan(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> dict[str, Any]:
    """Return the points of the walk, and the marks that are kept already."""
    site = site_of(request)
    found = watched_by(site, trainee[:MOST_CHARACTERS], observation, person.id)
    return {
        "learner": found.begun.trainee,
        "reader": person.id,
        "unit": found.begun.unit,
        "zones": _zones(checklist_of(site, found.begun, words_of(request).language)),
        "events": _events(found),
        "form_token": site.entrance.form_token(request),
        "now_utc": utc_text(site.clock.now()),
    }


@router.post(
    "/observe/of/{trainee}/{observation}/marks",
    responses=outcomes(403, 404, 409, 413, 503),
    response_model=Answer,
    response_class=JSONResponse,
    dependencies=[Depends(_own_page)],
)
def take(
    request: Request, person: SignedIn, trainee: str, observation: UUID, batch: Batch
) -> Answer:
    """Keep marks; sent twice they are kept once."""
    site = site_of(request)
    begun = begun_by(site, trainee[:MOST_CHARACTERS], observation, person.id)
    points = checklist_of(site, begun).checkpoints
    place = Place(
        trainee=begun.trainee,
        observation=observation,
        by=person.id,
        checkpoints=frozenset(point.id for point in points),
    )
    now_utc = utc_text(site.clock.now())
    return take_in(batch.events, place, observations(site), now_utc)


def _texts(words: Words) -> dict[str, str]:
    return {key: text for name in _TABLES for key, text in words.table(name).items()}


def _more() -> list[tuple[str, str, list[tuple[str, str, list[str]]]]]:
    """Return what can be said more of a mark: mark, question, field and values."""
    said = [
        ("severity", "severity", [each.value for each in Severity]),
        ("leak_class", "leak", [f"{each.value}" for each in LeakClass]),
    ]
    acts = [("act", "act", [each.value for each in UnsafeAct])]
    return [("unsafe", "which_act", acts), ("called", "what_said", said)]


def _zones(checklist: Checklist) -> list[dict[str, Any]]:
    return [
        {
            "title": zone.title,
            "points": [{"id": p.id, "prompt": p.prompt} for p in zone.checkpoints],
        }
        for zone in checklist.zones
    ]


def _events(found: Watched) -> list[dict[str, Any]]:
    """Return marks as the page keeps them; of one taken back both events."""
    seen = found.observation
    marks = [_mark(each) for each in (*seen.marks, *seen.retracted)]
    gone = [
        {
            "key": f"{each.key}-back",
            "takes_back": str(each.key),
            "at_utc": each.at_utc,
            "by": each.by,
        }
        for each in seen.retracted
    ]
    return [*marks, *gone]


def _mark(mark: Mark) -> dict[str, Any]:
    return {
        "key": str(mark.key),
        "kind": mark.kind.value,
        "checkpoint": mark.checkpoint,
        "at_utc": mark.at_utc,
        "by": mark.by,
        "act": mark.act.value if mark.act else None,
        "severity": mark.severity.value if mark.severity else None,
        "leak_class": mark.leak_class.value if mark.leak_class else None,
        "note": mark.note,
        "skew_s": mark.skew_s,
    }
