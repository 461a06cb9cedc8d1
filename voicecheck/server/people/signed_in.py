"""Ask who somebody is before a page shows anything of a person."""

from __future__ import annotations

import re
from typing import Annotated
from urllib.parse import quote

from fastapi import Depends, HTTPException, Request
from fastapi.responses import Response

from voicecheck.errors import PeopleError
from voicecheck.people.roles import Person
from voicecheck.people.store import PeopleStore
from voicecheck.server.people.sessions import Opened
from voicecheck.server.site import Site, site_of

COOKIE = "voicecheck_person"
DOOR = "/people/sign-in"
_OWN_PLACE = re.compile(
    r"/(?:people|observe|learn)(?:/[A-Za-z0-9._~%-]+)*(?:\?[A-Za-z0-9._~%=&-]*)?"
)


def people_of(site: Site) -> PeopleStore:
    """Return the store of personal results.

    Raises:
        HTTPException: this server keeps none.
    """
    if site.people is None:
        raise HTTPException(404)
    return site.people


def person_of(request: Request) -> Person | None:
    """Return who has signed in; None: nobody, too long ago, or erased since."""
    site = site_of(request)
    who = site.sessions.person(request.cookies.get(COOKIE, ""))
    if who is None or site.people is None:
        return None
    try:
        return site.people.person(who)
    except PeopleError:
        return None


def _signed_in(request: Request) -> Person:
    people_of(site_of(request))
    person = person_of(request)
    if person is not None:
        return person
    # a page leads to the door and back; a program is told
    if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
        to = f"{DOOR}?to={quote(request.url.path, safe='/')}"
        raise HTTPException(303, headers={"location": to})
    raise HTTPException(401)


SignedIn = Annotated[Person, Depends(_signed_in)]
"""A page that shows something of a person takes one."""


def own_place(to: str) -> str:
    """Return where to go after signing in: a page of ours, never elsewhere."""
    return to if _OWN_PLACE.fullmatch(to) else "/people"


def sign_in(response: Response, opened: Opened, *, secure: bool) -> None:
    """Give the browser the name of its session."""
    response.set_cookie(
        COOKIE,
        opened.name,
        max_age=opened.length_s,
        httponly=True,
        samesite="strict",
        secure=secure,
    )


def sign_out(response: Response) -> None:
    """Take the name of the session away again."""
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")
