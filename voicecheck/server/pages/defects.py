"""Open defects of the fleet, and one with its whole story."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from voicecheck.round.answers import Severity
from voicecheck.server.forms import outcomes
from voicecheck.server.render import page
from voicecheck.server.site import site_of
from voicecheck.server.workshop.views import defect_page, story_of
from voicecheck.store.defect_list import Wanted
from voicecheck.store.names import unit_id

router = APIRouter(default_response_class=HTMLResponse)

_MOST = 200
"""Defects on one page; the filters lead to the others."""


class Order(StrEnum):
    """What comes first."""

    SEVERITY = "severity"
    AGE = "age"


@router.get("/defects", responses=outcomes(400, 409, 503))
def open_defects(
    request: Request,
    unit: Annotated[str, Query(max_length=64)] = "",
    search: Annotated[str, Query(max_length=64)] = "",
    severity: Annotated[Severity | None, Query()] = None,
    order: Annotated[Order, Query()] = Order.SEVERITY,
) -> Response:
    """List open defects by severity or age; search and filter them."""
    name = unit_id(unit) if unit.strip() else None
    wanted = Wanted(
        unit=name,
        severity=severity,
        search=search,
        oldest_first=order is Order.AGE,
    )
    shown = site_of(request).fleet.open_page(wanted, _MOST)
    return page(
        request,
        "defects",
        defects=shown.defects,
        found=shown.found,
        total=shown.total,
        unit=name or "",
        search=search.strip(),
        severity=severity.value if severity else "",
        severities=list(Severity)[::-1],
        order=order.value,
        orders=list(Order),
    )


@router.get("/defects/{defect_id}", responses=outcomes(404, 409, 503))
def one_defect(
    request: Request,
    defect_id: UUID,
    kept: Annotated[bool, Query(description="Something was written down.")] = False,
) -> Response:
    """Show a defect, everything that happened to it, and what comes next."""
    return defect_page(request, story_of(request, str(defect_id)), kept=kept)
