"""Two assessors of one walk side by side, and a course across its trainees."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from voicecheck.observe.compare import compare as compared
from voicecheck.observe.course import course as put_together
from voicecheck.observe.keeping import started
from voicecheck.observe.report.compare_parts import compare_report
from voicecheck.observe.report.course_parts import course_report
from voicecheck.observe.report.page import fragment
from voicecheck.observe.report.words import Words
from voicecheck.people.names import MOST_CHARACTERS
from voicecheck.server import checklists
from voicecheck.server.forms import outcomes
from voicecheck.server.observing.results import course_results
from voicecheck.server.observing.watched import checklist_of, observations
from voicecheck.server.people.signed_in import SignedIn
from voicecheck.server.render import page, reachable
from voicecheck.server.site import site_of, words_of

router = APIRouter(default_response_class=HTMLResponse)

_SEEN = outcomes(303, 400, 403, 404, 409, 503)
_Which = Annotated[str, Query(max_length=MOST_CHARACTERS + 40)]


@router.get("/observe/compare", responses=_SEEN)
def compare(
    request: Request, person: SignedIn, one: _Which = "", other: _Which = ""
) -> Response:
    """Hold two observations of one walk against each other, point by point."""
    report, body = None, None
    if one.strip() and other.strip():
        kept = observations(site_of(request))
        first, second = kept.find(one, person.id), kept.find(other, person.id)
        begun, language = started(first), words_of(request).language
        site = site_of(request)
        found = compared(first, second, checklist_of(site, begun))
        report = compare_report(found, Words(checklist_of(site, begun, language)))
        body = reachable(fragment(report))
    return page(
        request,
        "observe_compare",
        person=person,
        one=one.strip(),
        other=other.strip(),
        report=report,
        body=body,
    )


@router.get("/observe/course", responses=_SEEN)
def course(
    request: Request,
    person: SignedIn,
    checklist: Annotated[str, Query(max_length=100)] = "",
) -> Response:
    """Show which planted faults are missed most; nobody is named."""
    site, language = site_of(request), words_of(request).language
    report, body = None, None
    if checklist:
        points = checklists.chosen(site.settings, checklist, language)
        found = course_results(site, person.id, points)
        if found:
            newest = max(begun.at_utc for begun, _ in found)
            whole = put_together([one for _, one in found])
            report = course_report(whole, Words(points), newest)
            body = reachable(fragment(report))
    return page(
        request,
        "observe_course",
        person=person,
        offered=[
            o for o in checklists.offered(site.settings) if language in o.languages
        ],
        chosen=checklist,
        report=report,
        body=body,
    )
