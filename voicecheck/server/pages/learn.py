"""A learner's progress: their own, or by those with the right."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.learn.deck import deck
from voicecheck.learn.keeping import Practice
from voicecheck.learn.report.page import body
from voicecheck.learn.report.parts import title
from voicecheck.learn.report.view import view
from voicecheck.people.names import MOST_CHARACTERS
from voicecheck.server import checklists
from voicecheck.server.forms import outcomes
from voicecheck.server.people.signed_in import SignedIn, people_of
from voicecheck.server.render import page, reachable
from voicecheck.server.site import site_of, words_of

router = APIRouter(default_response_class=HTMLResponse)

_USUAL = "wheel-loader"


@router.get("/learn", responses=outcomes(303, 404))
def own(request: Request, person: SignedIn) -> Response:
    """Go to one's own progress."""
    return RedirectResponse(f"/learn/{quote(person.id)}", 303)


@router.get("/learn/{learner}", responses=outcomes(303, 400, 403, 404, 409, 503))
def progress(
    request: Request,
    person: SignedIn,
    learner: str,
    checklist: Annotated[str, Query(max_length=100)] = _USUAL,
) -> Response:
    """Show where a learner stands and what to practise next; a look."""
    site, language = site_of(request), words_of(request).language
    people = people_of(site)
    name = people.person(learner[:MOST_CHARACTERS]).id
    done = Practice(people, name, clock=site.clock).done(person.id)
    points = checklists.chosen(site.settings, checklist, language)
    shown = view(name, deck(points), done, site.clock.now())
    return page(
        request,
        "learn",
        person=person,
        learner=name,
        title=title(shown),
        body=reachable(body(shown)),
        offered=[
            o for o in checklists.offered(site.settings) if language in o.languages
        ],
        chosen=checklist,
    )
