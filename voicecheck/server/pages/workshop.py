"""What is done about a defect: taken in hand, repaired, checked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.errors import DefectError
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.site import site_of, words_of
from voicecheck.server.words import Words
from voicecheck.server.workshop import forms
from voicecheck.server.workshop.forms import (
    LONGEST_NUMBER,
    LONGEST_TEXT,
    Filled,
    Given,
    Unfit,
)
from voicecheck.server.workshop.views import defect_page, story_of
from voicecheck.store.names import MOST_CHARACTERS

router = APIRouter(default_response_class=HTMLResponse)

Name = Annotated[str, Form(max_length=4 * MOST_CHARACTERS, description="Who.")]
Text = Annotated[str, Form(max_length=LONGEST_TEXT)]
Number = Annotated[str, Form(max_length=LONGEST_NUMBER)]
Choice = Annotated[str, Form(max_length=3, description="yes or no")]
Seen = Annotated[
    str, Form(max_length=40, description="Names what the page showed when it was made.")
]

_TAKEN = outcomes(303, 403, 404, 409, 503)


@router.post(
    "/defects/{defect_id}/start",
    status_code=303,
    responses=_TAKEN,
    dependencies=[OwnForm],
)
def start(
    request: Request, defect_id: UUID, seen: Seen, by: Name = "", note: Text = ""
) -> Response:
    """Write down that somebody has taken a defect in hand."""
    given = {"by": by, "note": note}
    return _write(request, defect_id, seen, "start", given, forms.started)


@router.post(
    "/defects/{defect_id}/repaired",
    status_code=303,
    responses=_TAKEN,
    dependencies=[OwnForm],
)
def repaired(
    request: Request,
    defect_id: UUID,
    seen: Seen,
    by: Name = "",
    done: Text = "",
    parts: Text = "",
    hours: Number = "",
) -> Response:
    """Write down what was done; it still has to be checked."""
    given = {"by": by, "done": done, "parts": parts, "hours": hours}
    return _write(request, defect_id, seen, "repaired", given, forms.repaired)


@router.post(
    "/defects/{defect_id}/checked",
    status_code=303,
    responses=_TAKEN,
    dependencies=[OwnForm],
)
def checked(
    request: Request,
    defect_id: UUID,
    seen: Seen,
    by: Name = "",
    good: Choice = "",
    note: Text = "",
) -> Response:
    """Write down that somebody looked at the repair, and whether it is good."""
    given = {"by": by, "good": good, "note": note}
    return _write(request, defect_id, seen, "checked", given, forms.checked)


def _write(
    request: Request,
    defect_id: UUID,
    seen: str,
    form: str,
    given: Given,
    read: Callable[[Given, Words], Filled | Unfit],
) -> Response:
    """Write an event after what the page showed; or show the page again."""
    site = site_of(request)
    found = story_of(request, str(defect_id))
    filled = read(given, words_of(request))
    if isinstance(filled, Unfit):
        return defect_page(
            request, found, form=form, given=given, problems=filled.problems
        )
    try:
        site.workshop.record(
            str(defect_id),
            filled.event,
            at=site.clock.now(),
            by=filled.by,
            seen=seen,
        )
    except DefectError:  # the form fits by itself: the defect has gone on
        found = story_of(request, str(defect_id))
        return defect_page(request, found, form=form, given=given, changed=True)
    return RedirectResponse(f"/defects/{defect_id}?kept=true", 303)
