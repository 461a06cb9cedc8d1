"""What pages ask of every form that is sent in."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Depends, Form, HTTPException, Request

from voicecheck.server.site import site_of


def _own_form(
    request: Request,
    form_token: Annotated[
        str, Form(max_length=200, description="Stands in every form of a page.")
    ],
) -> None:
    """Refuse a form that was not made here for this visitor."""
    if not site_of(request).entrance.is_own_form(request, form_token):
        raise HTTPException(403)


OwnForm = Depends(_own_form)
"""Every address that takes a form depends on it."""

Step = Annotated[str, Form(max_length=60, description="The page that was answered.")]

_HTML: dict[str, Any] = {"content": {"text/html": {"schema": {"type": "string"}}}}


def outcomes(*codes: int) -> dict[int | str, dict[str, Any]]:
    """Describe the error pages that an address can answer with."""
    names = {
        303: "See the page that comes next",
        400: "What was asked for cannot be",
        401: "The access token is missing",
        403: "Not a form of this server",
        404: "There is no such thing",
        409: "It does not fit what is kept",
        413: "Too long",
        414: "The address is too long",
        421: "Another server's name",
        429: "Too many wrong codes; wait",
        422: "A field is missing or does not fit",
        503: "It cannot be kept now",
    }
    every = {400, 401, 414, 421, 422, *codes}
    return {code: {"description": names[code], **_HTML} for code in sorted(every)}
