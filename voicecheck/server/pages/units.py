"""All units, and one."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from voicecheck.errors import RecordNotFound
from voicecheck.server import fleet_view
from voicecheck.server.fleet_view import UnitLine, UnitStatus
from voicecheck.server.forms import outcomes
from voicecheck.server.render import page
from voicecheck.server.site import Site, site_of, words_of
from voicecheck.store.names import unit_id

router = APIRouter(default_response_class=HTMLResponse)

_MOST = 50
"""Walks on the page of one unit, the newest."""
_MOST_CONFLICTS = 10


@router.get("/", responses=outcomes(409, 503))
def all_units(
    request: Request,
    search: Annotated[str, Query(max_length=64)] = "",
    status: Annotated[UnitStatus | None, Query()] = None,
) -> Response:
    """List units with their status in words; search by name, filter by status."""
    site = site_of(request)
    lines = _lines(site)
    wanted = search.strip().casefold()
    shown = [
        line
        for line in lines
        if wanted in line.unit.casefold() and status in (None, line.status)
    ]
    return page(
        request,
        "units",
        lines=shown,
        total=len(lines),
        search=search.strip(),
        status=status.value if status else "",
        statuses=list(UnitStatus),
    )


@router.get("/units/{unit}", responses=outcomes(400, 404, 409, 503))
def one_unit(request: Request, unit: str) -> Response:
    """Show one unit with its newest walks."""
    site = site_of(request)
    name = unit_id(unit)
    try:
        line = fleet_view.line_of(site.fleet.unit(name), site.clock.now())
    except RecordNotFound as error:
        raise RecordNotFound(words_of(request)("no_unit")) from error
    return page(
        request,
        "unit",
        line=line,
        rows=site.fleet.walks(name, limit=_MOST),
        total=site.fleet.count_walks(name),
        defects=site.fleet.open_defects(name),
        conflicts=site.fleet.conflicts(name)[:_MOST_CONFLICTS],
    )


def _lines(site: Site) -> tuple[UnitLine, ...]:
    return fleet_view.units(site.fleet, site.clock.now())
