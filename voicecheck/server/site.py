"""What every page of one server shares."""

from __future__ import annotations

from dataclasses import dataclass, field
from uuid import UUID

from fastapi import Request

from voicecheck.clock import Clock
from voicecheck.errors import RecordNotFound
from voicecheck.observe.events import Begun
from voicecheck.people.store import PeopleStore
from voicecheck.server.people.sessions import Sessions
from voicecheck.server.security.entrance import Entrance
from voicecheck.server.settings import ServerSettings
from voicecheck.server.walks.sittings import Sittings
from voicecheck.server.words import Words, languages
from voicecheck.store.fleet import Fleet
from voicecheck.store.ports import Journal, WalkRow
from voicecheck.store.workshop import Workshop

LANGUAGE_COOKIE = "language"


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One server's parts."""

    settings: ServerSettings
    journal: Journal
    fleet: Fleet
    """Units, defects and walks, as they are read."""
    workshop: Workshop
    """What is done about defects, as it is written."""
    clock: Clock
    sittings: Sittings
    entrance: Entrance
    people: PeopleStore | None
    """Personal results; None: this server shows none."""
    sessions: Sessions
    """Who has signed in as a person."""
    begun: dict[tuple[str, UUID, str], Begun] = field(default_factory=dict)
    """Beginnings of observations that are being marked: trainee, id, assessor."""


def site_of(request: Request) -> Site:
    """Return the site that a request came to."""
    site: Site = request.app.state.site
    return site


def row_of(request: Request, walk_id: str) -> WalkRow:
    """Return a walk's place in the list of walks.

    Raises:
        RecordNotFound: there is no such walk.
    """
    try:
        return site_of(request).fleet.walk(walk_id)
    except RecordNotFound as error:
        raise RecordNotFound(words_of(request)("no_walk")) from error


def words_of(request: Request) -> Words:
    """Return the texts in the language that the visitor chose."""
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    if chosen not in languages():
        chosen = site_of(request).settings.language
    return Words(chosen)
