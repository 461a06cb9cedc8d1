"""A walk in hand: one page a question, one POST an answer."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.errors import JournalError
from voicecheck.server.forms import OwnForm, Step, outcomes
from voicecheck.server.render import page
from voicecheck.server.site import Site, row_of, site_of
from voicecheck.server.walks.screen import screen
from voicecheck.server.walks.sitting import LONGEST_NOTE, Sitting
from voicecheck.server.words import Words

router = APIRouter(default_response_class=HTMLResponse)

_ACTS = outcomes(303, 403, 404, 409, 503)


class WalkCommand(StrEnum):
    """What can be asked for beside an answer."""

    BACK = "back"
    SKIP = "skip"
    PAUSE = "pause"
    STOP = "stop"


@router.get("/walks/{walk_id}", responses=outcomes(303, 404, 409, 503))
def show(
    request: Request,
    walk_id: UUID,
    typing: Annotated[bool, Query(description="Put the cursor in the field.")] = False,
    old: Annotated[bool, Query(description="An older page was answered.")] = False,
) -> Response:
    """Show the question at hand; or that the walk was left, or has a record."""
    site = site_of(request)
    sitting = site.sittings.find(str(walk_id))
    if sitting is None:
        row = row_of(request, str(walk_id))
        if row.record is not None:
            return RedirectResponse(f"/records/{walk_id}", 303)
        return page(request, "left", row=row)
    shown = screen(sitting)
    words = Words(sitting.language)
    return page(
        request,
        "walk",
        words=words,
        walk_id=walk_id,
        screen=shown,
        typing=typing,
        old=old,
        longest_note=LONGEST_NOTE,
    )


@router.post(
    "/walks/{walk_id}/resume",
    status_code=303,
    responses=outcomes(303, 400, 403, 404, 409, 503),
    dependencies=[OwnForm],
)
def take_up(request: Request, walk_id: UUID) -> Response:
    """Carry on with a walk that was left."""
    site = site_of(request)
    if site.sittings.find(str(walk_id)) is None:
        sitting = site.sittings.take_up(row_of(request, str(walk_id)))
        return _onward(site, sitting)
    return RedirectResponse(f"/walks/{walk_id}", 303)


@router.post(
    "/walks/{walk_id}/answer",
    status_code=303,
    responses=_ACTS,
    dependencies=[OwnForm],
)
def answer(
    request: Request,
    walk_id: UUID,
    step: Step,
    meaning: Annotated[str, Form(max_length=64)],
) -> Response:
    """Record the answer of a button."""
    return _act(request, walk_id, lambda sitting: sitting.choose(step, meaning))


@router.post(
    "/walks/{walk_id}/typed",
    status_code=303,
    responses=_ACTS,
    dependencies=[OwnForm],
)
def typed(
    request: Request,
    walk_id: UUID,
    step: Step,
    text: Annotated[str, Form(max_length=LONGEST_NOTE + 10)] = "",
    keys: Annotated[bool, Form(description="Go on typing on the next page.")] = False,
) -> Response:
    """Record what was typed: a number, a word, a first letter, or a command."""
    query = "typing=true" if keys else ""
    return _act(request, walk_id, lambda sitting: sitting.type(step, text), query)


@router.post(
    "/walks/{walk_id}/command",
    status_code=303,
    responses=_ACTS,
    dependencies=[OwnForm],
)
def command(
    request: Request,
    walk_id: UUID,
    step: Step,
    command: Annotated[WalkCommand, Form()],
) -> Response:
    """Take back, skip, put aside or stop."""
    return _act(request, walk_id, lambda sitting: sitting.command(step, command.value))


@router.post(
    "/walks/{walk_id}/note",
    status_code=303,
    responses=_ACTS,
    dependencies=[OwnForm],
)
def note(
    request: Request,
    walk_id: UUID,
    step: Step,
    text: Annotated[str, Form(min_length=1, max_length=LONGEST_NOTE)],
) -> Response:
    """Keep a note at the question at hand."""
    return _act(request, walk_id, lambda sitting: sitting.note(step, text))


def _act(
    request: Request,
    walk_id: UUID,
    take_in: Callable[[Sitting], bool],
    query: str = "",
) -> Response:
    """Let a walk take something in; what is kept is kept before the next page."""
    site = site_of(request)
    sitting = site.sittings.find(str(walk_id))
    if sitting is None:
        row_of(request, str(walk_id))  # or it is not there
        return RedirectResponse(f"/walks/{walk_id}", 303)
    try:
        taken = take_in(sitting)
    except JournalError:
        # what this server believes may no longer be what is kept
        site.sittings.let_go(str(walk_id))
        raise
    return _onward(site, sitting, query if taken else "old=true")


def _onward(site: Site, sitting: Sitting, query: str = "") -> Response:
    walk_id = sitting.session.walk_id
    if not sitting.in_hand:
        site.sittings.let_go(walk_id)
        if sitting.finish() is not None:
            return RedirectResponse(f"/records/{walk_id}", 303)
        query = ""
    return RedirectResponse(f"/walks/{walk_id}" + (query and f"?{query}"), 303)
