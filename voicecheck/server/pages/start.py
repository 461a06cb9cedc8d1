"""Begin a walk."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.defects.hold import holding
from voicecheck.server import checklists
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.render import page
from voicecheck.server.site import site_of, words_of
from voicecheck.server.words import known, languages
from voicecheck.server.workshop.views import held_page
from voicecheck.store.names import MOST_CHARACTERS, operator_id, unit_id
from voicecheck.store.session import unfinished_walk

router = APIRouter(default_response_class=HTMLResponse)

_Name = Annotated[str, Form(max_length=4 * MOST_CHARACTERS)]


@router.get("/walks/new", responses=outcomes(400, 409, 503))
def ask_what(
    request: Request,
    unit: Annotated[str, Query(max_length=4 * MOST_CHARACTERS)] = "",
    released: Annotated[bool, Query(description="It was just released.")] = False,
) -> Response:
    """Ask for unit, operator and checklist; of a machine in service only."""
    site = site_of(request)
    settings = site.settings
    name = unit_id(unit) if unit else ""
    defects = site.fleet.open_defects(name) if name else ()
    if holding(defects):
        return held_page(request, name, defects)
    return page(
        request,
        "start",
        unit=name,
        released=released,
        operator="",
        offered=checklists.offered(settings),
        walk_languages=languages(),
        left=None,
        chosen="",
    )


@router.post(
    "/walks",
    status_code=303,
    responses=outcomes(303, 400, 403, 409, 503),
    dependencies=[OwnForm],
)
def begin(
    request: Request,
    unit: _Name,
    checklist: Annotated[str, Form(max_length=100)],
    operator: _Name = "",
    language: Annotated[str, Form(max_length=8)] = "",
    new: Annotated[str, Form(max_length=3)] = "",
) -> Response:
    """Begin a walk; one that was left is shown first, unless `new` is yes."""
    site = site_of(request)
    # never the text of the request: a language names files
    language = known(language or words_of(request).language)
    loaded = checklists.chosen(site.settings, checklist, language)
    unit, operator = unit_id(unit), operator_id(operator)
    left = None if new == "yes" else unfinished_walk(site.journal, unit)
    if left is not None:
        return page(
            request,
            "start",
            http_status=409,
            unit=unit,
            operator=operator,
            offered=checklists.offered(site.settings),
            walk_languages=languages(),
            left=left,
            released=False,
            chosen=checklist,
        )
    sitting = site.sittings.begin(
        loaded, unit=unit, operator=operator, language=language
    )
    return RedirectResponse(f"/walks/{sitting.session.walk_id}", 303)
