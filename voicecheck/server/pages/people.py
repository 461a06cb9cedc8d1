"""Sign in and out, and what is kept of oneself."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.errors import TooManyTries, UsageError
from voicecheck.people.names import MOST_CHARACTERS, person_id
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.people.signed_in import (
    COOKIE,
    DOOR,
    SignedIn,
    own_place,
    people_of,
    person_of,
    sign_in,
    sign_out,
)
from voicecheck.server.render import page
from voicecheck.server.site import site_of

router = APIRouter(default_response_class=HTMLResponse)

_LOOKS = 100
"""Newest looks on the page; the export has them all."""

_EXPORTED: dict[int | str, dict[str, Any]] = {
    200: {"description": "The file", "content": {"application/json": {}}}
}


@router.get(DOOR, responses=outcomes(404))
def ask_who(
    request: Request, to: Annotated[str, Query(max_length=200)] = ""
) -> Response:
    """Ask for id and access code."""
    people_of(site_of(request))
    return page(request, "people_sign_in", to=own_place(to), who="", wrong="", wait_s=0)


@router.post(
    DOOR,
    status_code=303,
    responses=outcomes(303, 403, 404, 429, 503),
    dependencies=[OwnForm],
)
def check(
    request: Request,
    who: Annotated[str, Form(min_length=1, max_length=4 * MOST_CHARACTERS)],
    code: Annotated[str, Form(min_length=1, max_length=100)],
    to: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Sign somebody in who knows their access code."""
    site = site_of(request)
    people = people_of(site)
    try:
        name = person_id(who)
        right = people.check_code(name, code)
    except TooManyTries as error:
        return _again(request, 429, to, who, "slow", max(1, round(error.wait_s)))
    except UsageError:
        right = False
    if not right:
        return _again(request, 403, to, who, "wrong")
    site.sessions.close(request.cookies.get(COOKIE, ""))
    entered = RedirectResponse(own_place(to), 303)
    secure = site.settings.secure_cookies
    sign_in(entered, site.sessions.open(name), secure=secure)
    return entered


def _again(
    request: Request, status: int, to: str, who: str, wrong: str, wait_s: int = 0
) -> Response:
    return page(
        request,
        "people_sign_in",
        http_status=status,
        to=own_place(to),
        who=who,
        wrong=wrong,
        wait_s=wait_s,
    )


@router.post(
    "/people/sign-out",
    status_code=303,
    responses=outcomes(303, 403, 503),
    dependencies=[OwnForm],
)
def leave(request: Request) -> Response:
    """Sign out."""
    site_of(request).sessions.close(request.cookies.get(COOKIE, ""))
    left = RedirectResponse("/people/signed-out", 303)
    sign_out(left)
    return left


@router.get("/people/signed-out", responses=outcomes())
def left(request: Request) -> Response:
    """Say that nobody is signed in here, and let the browser forget what was sent."""
    return page(request, "people_signed_out", signed_in=person_of(request) is not None)


@router.get("/people", responses=outcomes(303, 403, 404, 503))
def about(request: Request, person: SignedIn) -> Response:
    """Show one's own roles, where to go, and who has looked at one's results."""
    people = people_of(site_of(request))
    looks = people.looks(person.id, person.id)
    return page(
        request,
        "people",
        person=person,
        others=[one for one in people.people(person.id) if one.id != person.id],
        looks=looks[::-1][:_LOOKS],
        total=len(looks),
    )


@router.get(
    "/people/export",
    responses={**outcomes(303, 403, 404, 503), **_EXPORTED},
    response_class=Response,
)
def export(request: Request, person: SignedIn) -> Response:
    """Return everything that is kept of oneself, as a file."""
    document = people_of(site_of(request)).export(person.id, person.id)
    data = json.dumps(document, ensure_ascii=False, indent=2)
    return Response(
        data,
        media_type="application/json",
        headers={"content-disposition": 'attachment; filename="my-results.json"'},
    )
