"""Errors as pages: what went wrong, that nothing is lost, what to do next."""

from __future__ import annotations

import logging
from collections.abc import Mapping

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException

from voicecheck.errors import (
    DefectError,
    JournalDamaged,
    JournalError,
    NotAllowed,
    ObserveError,
    PeopleError,
    RecordNotFound,
    UnitHeld,
    UsageError,
    VoicecheckError,
    WalkError,
)
from voicecheck.server.render import page
from voicecheck.server.site import site_of, words_of
from voicecheck.server.workshop.views import held_page

_LOG = logging.getLogger(__name__)

_STATUS: Mapping[type[VoicecheckError], int] = {
    UsageError: 400,
    RecordNotFound: 404,
    DefectError: 409,
    WalkError: 409,
    JournalDamaged: 409,
    JournalError: 503,
    NotAllowed: 403,
    ObserveError: 409,
    PeopleError: 409,
}
"""By the first class of the error's own tree that stands here."""
_OTHER = 400


def show_failures(app: FastAPI) -> None:
    """Let every error of the application become a page."""
    app.add_exception_handler(VoicecheckError, _ours)
    app.add_exception_handler(UnitHeld, _held)
    app.add_exception_handler(RequestValidationError, _does_not_fit)
    app.add_exception_handler(HTTPException, _plain)
    app.add_exception_handler(Exception, _broken)


def failure_page(
    request: Request,
    status: int,
    text: str,
    headers: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """Return the page of one error."""
    made = page(request, "failure", http_status=status, code=status, text=text)
    made.headers.update(headers or {})
    return made


def _held(request: Request, error: Exception) -> Response:
    """A walk on a machine out of service: its tag, and the way to its release."""
    assert isinstance(error, UnitHeld)
    defects = site_of(request).fleet.open_defects(error.unit)
    return held_page(request, error.unit, defects, http_status=409)


def _ours(request: Request, error: Exception) -> Response:
    classes = type(error).__mro__
    status = next((_STATUS[c] for c in classes if c in _STATUS), _OTHER)
    if status >= 500:
        _LOG.error("%s", error)
    return failure_page(request, status, str(error))


def _does_not_fit(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    fields = sorted({str(problem["loc"][-1]) for problem in error.errors()})
    words = words_of(request)
    return failure_page(request, 422, words("does_not_fit", fields=", ".join(fields)))


def _plain(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = words_of(request)
    text = words.of("failure", str(error.status_code))
    if text == str(error.status_code):
        text = str(error.detail)
    return failure_page(request, error.status_code, text, error.headers)


def _broken(request: Request, error: Exception) -> Response:
    _LOG.error("a page failed", exc_info=error)
    return failure_page(request, 500, words_of(request).of("failure", "500"))
