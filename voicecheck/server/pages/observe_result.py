"""The result of a watched walk, its debrief, appeal and signatures."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated, Any
from urllib.parse import quote
from uuid import UUID

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.observe.document import result_document
from voicecheck.observe.report.debrief_parts import debrief_report
from voicecheck.observe.report.page import fragment
from voicecheck.observe.report.page import page as whole_page
from voicecheck.observe.report.result_parts import result_report
from voicecheck.people.names import MOST_CHARACTERS
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.observing.results import Shown, shown
from voicecheck.server.observing.watched import observations
from voicecheck.server.people.signed_in import SignedIn
from voicecheck.server.render import page, reachable
from voicecheck.server.site import site_of, words_of

router = APIRouter(default_response_class=HTMLResponse)

LONGEST_APPEAL = 2000
_PLACE = "/observe/of/{trainee}/{observation}"
_SEEN = outcomes(303, 400, 403, 404, 409, 503)


class ResultFormat(StrEnum):
    """What a result can be saved as."""

    PDF = "pdf"
    HTML = "html"
    JSON = "json"


_TYPES = {
    ResultFormat.PDF: "application/pdf",
    ResultFormat.HTML: "text/html; charset=utf-8",
    ResultFormat.JSON: "application/json",
}
_EXPORTED: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file",
        "content": {
            "application/json": {},
            "application/pdf": {},
            "text/html": {"schema": {"type": "string"}},
        },
    }
}


@router.get(_PLACE, responses=_SEEN)
def show(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> Response:
    """Show the decision with everything that it rests on."""
    found = _shown(request, person.id, trainee, observation)
    report = result_report(found.result, found.decided, found.words)
    signed = [
        (one, one.result_sha256 == found.sha256) for one in found.observation.signatures
    ]
    return page(
        request,
        "observe_result",
        person=person,
        begun=found.begun,
        report=report,
        body=reachable(fragment(report)),
        at=_address(found),
        signed=signed,
        may_sign=person.id in (found.begun.by, found.begun.trainee)
        and (person.id, True) not in [(one.by, same) for one, same in signed],
        formats=list(ResultFormat),
        longest_appeal=LONGEST_APPEAL,
    )


@router.get(f"{_PLACE}/debrief", responses=_SEEN)
def debrief(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> Response:
    """Show the trainee in plain words what went well and what to do next."""
    found = _shown(request, person.id, trainee, observation)
    report = debrief_report(found.result, found.decided, found.words)
    return page(
        request,
        "observe_report",
        person=person,
        report=report,
        body=reachable(fragment(report)),
        back=_address(found),
        back_to="result_open",
    )


@router.get(
    f"{_PLACE}/export/{{file_format}}",
    responses={**_SEEN, **_EXPORTED},
    response_class=Response,
)
def export(
    request: Request,
    person: SignedIn,
    trainee: str,
    observation: UUID,
    file_format: ResultFormat,
) -> Response:
    """Return the result as a file."""
    found = _shown(request, person.id, trainee, observation)
    report = result_report(found.result, found.decided, found.words)
    match file_format:
        case ResultFormat.JSON:
            document = result_document(found.result, found.decided)
            data = json.dumps(document, ensure_ascii=False, indent=2).encode()
        case ResultFormat.HTML:
            data = whole_page(report).encode()
        case ResultFormat.PDF:
            from voicecheck.observe.report.pdf import report_pdf  # noqa: PLC0415

            data = report_pdf(report)
    name = f"observation-{observation}.{file_format.value}"
    return Response(
        data,
        media_type=_TYPES[file_format],
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


@router.post(
    f"{_PLACE}/appeal", status_code=303, responses=_SEEN, dependencies=[OwnForm]
)
def appeal(
    request: Request,
    person: SignedIn,
    trainee: str,
    observation: UUID,
    text: Annotated[str, Form(min_length=1, max_length=LONGEST_APPEAL)],
) -> Response:
    """Keep beside the result that somebody does not agree."""
    found = _shown(request, person.id, trainee, observation)
    observations(site_of(request)).appeal(found.observation, by=person.id, text=text)
    return RedirectResponse(_address(found), 303)


@router.post(f"{_PLACE}/sign", status_code=303, responses=_SEEN, dependencies=[OwnForm])
def sign(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> Response:
    """Keep that somebody has seen the result as it stands."""
    found = _shown(request, person.id, trainee, observation)
    observations(site_of(request)).sign(
        found.observation, by=person.id, result_sha256=found.sha256
    )
    return RedirectResponse(_address(found), 303)


def _shown(request: Request, reader: str, trainee: str, observation: UUID) -> Shown:
    language = words_of(request).language
    name = trainee[:MOST_CHARACTERS]
    return shown(site_of(request), name, observation, reader, language)


def _address(found: Shown) -> str:
    return f"/observe/of/{quote(found.begun.trainee)}/{found.begun.observation}"
