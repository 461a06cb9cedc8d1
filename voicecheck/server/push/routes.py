"""The addresses of a push: what is there, take these, where are conflicts."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import Body, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from voicecheck import __version__
from voicecheck.errors import JournalDamaged, JournalError, VoicecheckError
from voicecheck.server.push.answers import failure
from voicecheck.server.push.door import Door
from voicecheck.server.push.unpacking import Unpacking
from voicecheck.server.security.gate import App
from voicecheck.store.far_end import FarEnd, Fate, Parcel, Receipt
from voicecheck.store.push_forms import (
    AskedForm,
    ConflictForm,
    ConflictsForm,
    DefectForm,
    HaveForm,
    ParcelForm,
    ParcelsForm,
    ReceiptForm,
    ReceiptsForm,
    UnitForm,
    UnitsForm,
    WalkForm,
)
from voicecheck.store.push_wire import parcel_of

ROOT = "/push/"
MOST_BODY_BYTES = 4 * 2**20
"""Of one request as it comes, packed or not."""
MOST_PLAIN_BYTES = 16 * 2**20
"""Of one request once it is unpacked."""

_LOG = logging.getLogger(__name__)
_FAILURE = {"content": {"application/json": {"schema": {"type": "object"}}}}
_OUTCOMES: dict[int | str, dict[str, Any]] = {
    400: {"description": "No JSON, or no whole gzip", **_FAILURE},
    401: {"description": "The push token is missing or wrong", **_FAILURE},
    409: {"description": "What is kept there was altered", **_FAILURE},
    413: {"description": "Too much at once", **_FAILURE},
    415: {"description": "Packed in another way than gzip", **_FAILURE},
    422: {"description": "Not of this format", **_FAILURE},
    503: {"description": "It cannot be kept now", **_FAILURE},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushes:
    """Where what devices push goes, and who may."""

    far_end: FarEnd
    tokens: tuple[str, ...]
    """Any of them lets a device in."""


def push_app(pushes: Pushes) -> App:
    """Return the guarded application behind `ROOT`."""
    app = FastAPI(
        title="voicecheck push",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=f"{ROOT}openapi.json",
    )
    _show_failures(app)
    _add_routes(app, pushes.far_end)
    return Door(Unpacking(app, MOST_PLAIN_BYTES), pushes.tokens)


def _add_routes(app: FastAPI, far_end: FarEnd) -> None:
    @app.post(f"{ROOT}have", responses=_OUTCOMES)
    def have(form: Annotated[AskedForm, Body()]) -> HaveForm:
        """Tell what is there of what was asked for: the heads of its chains."""
        return HaveForm.of(far_end.have(form.asked()))

    @app.post(f"{ROOT}parcels", responses=_OUTCOMES)
    def parcels(form: Annotated[ParcelsForm, Body()]) -> ReceiptsForm:
        """Keep a batch in one transaction; what does not hold stays out."""
        receipts = _taken(far_end, form.parcels)
        return ReceiptsForm(
            receipts=[
                ReceiptForm(
                    fate=one.fate,
                    entries=one.entries,
                    records=one.records,
                    why=one.why,
                )
                for one in receipts
            ]
        )

    @app.post(f"{ROOT}conflicts", responses=_OUTCOMES)
    def conflicts(form: Annotated[UnitsForm, Body()]) -> ConflictsForm:
        """Tell where devices wrote about these units without each other."""
        return ConflictsForm(
            conflicts=[
                ConflictForm(
                    unit=one.unit,
                    kind=one.kind,
                    words=one.words,
                    title=one.title,
                    walk_ids=list(one.walk_ids),
                    defect_ids=list(one.defect_ids),
                )
                for one in far_end.conflicts(form.units)
            ]
        )


def _taken(far_end: FarEnd, forms: Sequence[ParcelForm]) -> list[Receipt]:
    """Give the far end what can be read; refuse the rest."""
    read: list[Parcel | Receipt] = [_read(form) for form in forms]
    taken = iter(far_end.take([one for one in read if not isinstance(one, Receipt)]))
    receipts = [one if isinstance(one, Receipt) else next(taken) for one in read]
    for form, receipt in zip(forms, receipts, strict=True):
        if receipt.fate is Fate.REFUSED:  # whoever runs the server should know too
            _LOG.warning("refused from a device: %s: %s", _name(form), receipt.why)
    return receipts


def _name(form: ParcelForm) -> str:
    match form:
        case WalkForm():
            return f"walk {form.walk_id}"
        case DefectForm():
            return f"defect {form.defect_id}"
        case UnitForm():
            return f"unit {form.unit!r}"
        case _:
            return "a checklist"


def _read(form: ParcelForm) -> Parcel | Receipt:
    try:
        return parcel_of(form)
    except (JournalDamaged, ValueError, RecursionError) as error:
        return Receipt(fate=Fate.REFUSED, why=f"it cannot be read: {error}")


def _show_failures(app: FastAPI) -> None:
    """Let every error be JSON with a sentence."""
    app.add_exception_handler(VoicecheckError, _ours)
    app.add_exception_handler(RequestValidationError, _does_not_fit)
    app.add_exception_handler(HTTPException, _plain)
    app.add_exception_handler(Exception, _broken)


def _ours(_: Request, error: Exception) -> Response:
    _LOG.error("%s", error)
    if isinstance(error, JournalDamaged):
        return failure(409, str(error))
    return failure(503 if isinstance(error, JournalError) else 400, str(error))


def _does_not_fit(_: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    place = ".".join(str(part) for part in first["loc"])[:200]
    if first["type"] == "json_invalid":
        return failure(400, "the body is no JSON")
    return failure(422, f"{place}: {first['msg']}"[:500])


def _plain(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return failure(error.status_code, str(error.detail))


def _broken(_: Request, error: Exception) -> Response:
    _LOG.error("a push failed", exc_info=error)
    return failure(500, "the server has failed; nothing of this batch was kept")
