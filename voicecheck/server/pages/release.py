"""A machine out of service: its tag, its open defects, its release."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.defects.hold import holding
from voicecheck.defects.story import Defect
from voicecheck.errors import DefectError, RecordNotFound
from voicecheck.server.failures import failure_page
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.pages.workshop import Name, Seen, Text
from voicecheck.server.site import site_of, words_of
from voicecheck.server.workshop import forms
from voicecheck.server.workshop.views import held_page
from voicecheck.store.names import unit_id

router = APIRouter(default_response_class=HTMLResponse)

_PDF: dict[int | str, dict[str, Any]] = {
    200: {"description": "The sheet", "content": {"application/pdf": {}}},
}


@router.get("/units/{unit}/release", responses=outcomes(303, 400, 404, 409, 503))
def show(request: Request, unit: str) -> Response:
    """Show the tag and the open defects; offer the release and nothing else."""
    name = unit_id(unit)
    defects = site_of(request).fleet.open_defects(name)
    if not holding(defects):
        return RedirectResponse(f"/units/{quote(name, safe='')}", 303)
    return held_page(request, name, defects)


@router.post(
    "/units/{unit}/release",
    status_code=303,
    responses=outcomes(303, 400, 403, 404, 409, 503),
    dependencies=[OwnForm],
)
def release(
    request: Request,
    unit: str,
    seen: Seen,
    by: Name = "",
    note: Text = "",
    sure: Annotated[str, Form(max_length=3, description="yes")] = "",
) -> Response:
    """Write a competent person's release; a walk round the machine comes next."""
    site, name = site_of(request), unit_id(unit)
    given = {"by": by, "note": note}
    who, problems = forms.releasing({**given, "sure": sure}, words_of(request))
    if not problems:
        text = forms.plain(given, "note")
        try:
            site.workshop.release(
                name, at=site.clock.now(), by=who, note=text, seen=seen
            )
        except DefectError:  # the form fits by itself: the defects have gone on
            pass
        else:
            return RedirectResponse(
                f"/walks/new?unit={quote(name, safe='')}&released=true", 303
            )
    defects = site.fleet.open_defects(name)
    if not holding(defects):
        text = words_of(request)("not_held_now", unit=name)
        return failure_page(request, 409, text)
    return held_page(
        request,
        name,
        defects,
        http_status=422 if problems else 409,
        given=given,
        problems=problems,
        changed=not problems,
    )


@router.get(
    "/units/{unit}/tag",
    responses={**outcomes(400, 404, 409, 503), **_PDF},
    response_class=Response,
)
def tag(request: Request, unit: str) -> Response:
    """Return the sheet that tags the machine out, to print."""
    from voicecheck.report.pdf.tag import Tag, tag_pdf  # noqa: PLC0415

    name, words = unit_id(unit), words_of(request)
    held = holding(site_of(request).fleet.open_defects(name))
    if not held:
        raise RecordNotFound(words("not_held", unit=name))
    made = Tag(
        unit=name,
        wrong=tuple(_wrong(one, words.finding(one.words)) for one in held),
        who=held[0].found_by,
        at=datetime.fromisoformat(held[0].found_utc),
    )
    return Response(
        tag_pdf(made, words.language),
        media_type="application/pdf",
        headers={"content-disposition": 'attachment; filename="tag.pdf"'},
    )


def _wrong(one: Defect, finding: str) -> str:
    return f"{one.title} {finding}"
