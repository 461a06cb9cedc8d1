"""Observations: whose there are, beginning one, and ending it."""

from __future__ import annotations

import json
from typing import Annotated
from urllib.parse import quote
from uuid import UUID

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from voicecheck.errors import ObserveError
from voicecheck.observe import sealed_files
from voicecheck.observe.keeping import started
from voicecheck.observe.seal import Sealed
from voicecheck.people.names import MOST_CHARACTERS
from voicecheck.people.roles import Person, Role
from voicecheck.server import checklists
from voicecheck.server.forms import OwnForm, outcomes
from voicecheck.server.observing.watched import observations
from voicecheck.server.people.signed_in import SignedIn, people_of
from voicecheck.server.render import page
from voicecheck.server.site import Site, site_of, words_of
from voicecheck.store import archive
from voicecheck.store.names import unit_id
from voicecheck.store.ports import WalkRow

router = APIRouter(default_response_class=HTMLResponse)

_Id = Annotated[str, Form(min_length=1, max_length=4 * MOST_CHARACTERS)]
_JUDGES = frozenset({Role.ASSESSOR, Role.SUPERVISOR})
_MOST_WALKS = 20


@router.get("/observe", responses=outcomes(303, 404, 503))
def people(request: Request, person: SignedIn) -> Response:
    """List whose observations one may see; a learner goes to their own."""
    if not person.roles & _JUDGES:
        return RedirectResponse(f"/observe/of/{quote(person.id)}", 303)
    return page(
        request, "observe_people", person=person, learners=_learners(request, person)
    )


@router.get("/observe/of/{trainee}", responses=outcomes(303, 403, 404, 409, 503))
def of(request: Request, person: SignedIn, trainee: str) -> Response:
    """List the observations of one trainee; the look is written down."""
    site = site_of(request)
    name = people_of(site).person(trainee[:MOST_CHARACTERS]).id
    found = observations(site).all_of(name, person.id)
    return page(request, "observe_of", person=person, trainee=name, found=found)


@router.get("/observe/begin", responses=outcomes(303, 403, 404, 409, 503))
def ask_begin(request: Request, person: SignedIn) -> Response:
    """Ask whom to watch, on which unit, by which sealed scenario."""
    sealed = [
        (one.commitment, one.scenario.title)
        for path in sealed_files.kept(site_of(request).settings.home)
        for one in [sealed_files.read(path)]
    ]
    return page(
        request,
        "observe_begin",
        person=person,
        learners=[one for one in _learners(request, person) if one.id != person.id],
        sealed=sealed if person.roles & _JUDGES else [],
    )


@router.post(
    "/observe/begin",
    status_code=303,
    responses=outcomes(303, 400, 403, 404, 409, 503),
    dependencies=[OwnForm],
)
def begin(
    request: Request,
    person: SignedIn,
    trainee: _Id,
    unit: _Id,
    commitment: Annotated[str, Form(min_length=64, max_length=64)],
) -> Response:
    """Begin to watch somebody."""
    site = site_of(request)
    sealed = sealed_files.find(commitment, site.settings.home)
    begun = observations(site).begin(
        trainee=trainee,
        unit=unit_id(unit),
        checklist=checklists.chosen(
            site.settings, sealed.scenario.checklist, words_of(request).language
        ),
        sealed=sealed,
        by=person.id,
        language=words_of(request).language,
    )
    to = f"/observe/of/{quote(begun.trainee)}/{begun.observation}/mark"
    return RedirectResponse(to, 303)


@router.get(
    "/observe/of/{trainee}/{observation}/end",
    responses=outcomes(303, 403, 404, 409, 503),
)
def ask_end(
    request: Request, person: SignedIn, trainee: str, observation: UUID
) -> Response:
    """Ask whether the walk is over, and which record the trainee made of it."""
    site = site_of(request)
    found = observations(site).load(trainee[:MOST_CHARACTERS], observation, person.id)
    begun = started(found)
    return page(
        request,
        "observe_end",
        person=person,
        begun=begun,
        observation=found,
        walks=_walks(site, begun.unit, begun.trainee),
    )


@router.post(
    "/observe/of/{trainee}/{observation}/end",
    status_code=303,
    responses=outcomes(303, 400, 403, 404, 409, 503),
    dependencies=[OwnForm],
)
def end(
    request: Request,
    person: SignedIn,
    trainee: str,
    observation: UUID,
    walk: Annotated[str, Form(max_length=36)] = "",
    reason: Annotated[str, Form(max_length=300)] = "",
) -> Response:
    """End the walk and open the seal."""
    site = site_of(request)
    kept = observations(site)
    found = kept.load(trainee[:MOST_CHARACTERS], observation, person.id)
    begun = started(found)
    if begun.by != person.id:
        raise ObserveError(f"{begun.by} watches this walk, and ends it")
    row = next(
        (r for r in _walks(site, begun.unit, begun.trainee) if r.walk_id == walk), None
    )
    record = (
        json.loads(archive.read_record(site.settings.home, row, site.journal))
        if row
        else None
    )
    kept.end(
        found,
        by=person.id,
        sealed=_sealed(site, begun.commitment),
        record=record,
        reason=reason.strip(),
    )
    to = f"/observe/of/{quote(begun.trainee)}/{observation}"
    return RedirectResponse(to, 303)


def _sealed(site: Site, commitment: str) -> Sealed:
    return sealed_files.find(commitment, site.settings.home)


def _learners(request: Request, person: Person) -> list[Person]:
    known = people_of(site_of(request)).people(person.id)
    return [one for one in known if Role.LEARNER in one.roles]


def _walks(site: Site, unit: str, operator: str) -> list[WalkRow]:
    """Return the newest records of a unit that an operator made."""
    rows = site.fleet.walks(unit)
    made = [r for r in rows if r.record is not None and r.operator == operator]
    return made[:_MOST_WALKS]
