"""One record, and its exports."""

from __future__ import annotations

import json
from enum import StrEnum
from functools import partial
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from voicecheck.errors import JournalDamaged, RecordNotFound
from voicecheck.record.csv_text import to_csv
from voicecheck.report import view
from voicecheck.report.how import how
from voicecheck.report.labels_file import labels
from voicecheck.report.machine_plan import drawing
from voicecheck.report.page import render
from voicecheck.report.wording import duration_words, number_words
from voicecheck.server.forms import outcomes
from voicecheck.server.render import page
from voicecheck.server.site import row_of, site_of
from voicecheck.store import archive

router = APIRouter(default_response_class=HTMLResponse)


class ExportFormat(StrEnum):
    """What a record can be exported as."""

    JSON = "json"
    CSV = "csv"
    HTML = "html"
    PDF = "pdf"


_TYPES = {
    ExportFormat.JSON: "application/json",
    ExportFormat.CSV: "text/csv; charset=utf-8",
    ExportFormat.HTML: "text/html; charset=utf-8",
    ExportFormat.PDF: "application/pdf",
}
_EXPORTED: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file",
        "content": {
            "application/json": {},
            "text/csv": {"schema": {"type": "string"}},
            "text/html": {"schema": {"type": "string"}},
            "application/pdf": {},
        },
    }
}


@router.get("/records/{record_id}", responses=outcomes(404, 409, 503))
def show(request: Request, record_id: UUID) -> Response:
    """Show a record: decision first, findings on the plan, readings, proof."""
    document = json.loads(_whole(request, record_id))
    language = document["words"]["language"]
    at = labels(language)
    shown = view.view(document, at)
    return page(
        request,
        "record",
        document=document,
        view=shown,
        at=at,
        # shapes of ours, checked when they were read
        drawing=Markup(drawing(document["content"]["checklist"]["name"])),  # noqa: S704
        how=how(document, at),
        prompt=partial(view.prompt, document),
        duration=duration_words,
        number=number_words,
        formats=list(ExportFormat),
    )


@router.get(
    "/records/{record_id}/export/{file_format}",
    responses={**outcomes(404, 409, 503), **_EXPORTED},
    response_class=Response,
)
def export(request: Request, record_id: UUID, file_format: ExportFormat) -> Response:
    """Return a record as a file, after checking that nothing was altered."""
    data = _whole(request, record_id)
    match file_format:
        case ExportFormat.CSV:
            data = to_csv(json.loads(data)).encode()
        case ExportFormat.HTML:
            data = render(json.loads(data), local_time=True).encode()
        case ExportFormat.PDF:
            from voicecheck.report.pdf.walk import walk_pdf  # noqa: PLC0415

            data = walk_pdf(json.loads(data), local_time=True)
    name = f"walk-{record_id}.{file_format.value}"
    return Response(
        data,
        media_type=_TYPES[file_format],
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


def _whole(request: Request, record_id: UUID) -> bytes:
    """Return the record's bytes once its chain and content were checked.

    Raises:
        RecordNotFound: there is no such walk, or it has no record yet.
        JournalDamaged: it was altered.
    """
    site = site_of(request)
    row = row_of(request, str(record_id))
    if row.record is None:
        raise RecordNotFound("this walk has no record yet: it was not finished")
    found = archive.check(site.journal, site.settings.home, row.walk_id, row)
    if not found.ok:
        raise JournalDamaged(
            f"this record was altered and is not shown: {found.problems[0]}; keep "
            "its file and the journal as they are, and tell whoever answers for "
            "records"
        )
    return archive.read_record(site.settings.home, row, site.journal)
