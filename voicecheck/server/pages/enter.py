"""The door, and the choice of a language."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.errors import UsageError
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.render import page
from voicecheck.server.security.entrance import DOOR
from voicecheck.server.site import LANGUAGE_COOKIE, site_of
from voicecheck.server.words import languages

router = APIRouter(default_response_class=HTMLResponse)


@router.get(DOOR, responses=outcomes())
def show_door(request: Request) -> Response:
    """Ask for the access token."""
    return page(request, "enter", wrong=False)


@router.post(
    DOOR, status_code=303, responses=outcomes(303, 403), dependencies=[OwnForm]
)
def enter(
    request: Request, token: Annotated[str, Form(min_length=1, max_length=100)]
) -> Response:
    """Let somebody in who knows the access token."""
    entrance = site_of(request).entrance
    if not entrance.knows(token):
        return page(request, "enter", http_status=403, wrong=True)
    admitted = RedirectResponse("/", 303)
    entrance.admit(admitted)
    return admitted


@router.post(
    "/language",
    status_code=303,
    responses=outcomes(303, 400, 403),
    dependencies=[OwnForm],
)
def choose_language(
    language: Annotated[str, Form(min_length=2, max_length=8)],
) -> Response:
    """Show pages in another language."""
    if language not in languages():
        raise UsageError("there are no pages in this language; choose one of the list")
    chosen = RedirectResponse("/", 303)
    chosen.set_cookie(
        LANGUAGE_COOKIE, language, max_age=31_536_000, httponly=True, samesite="strict"
    )
    return chosen
