"""What every page of one server shares."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request

from voicecheck.clock import Clock
from voicecheck.server.security.entrance import Entrance
from voicecheck.server.settings import ServerSettings
from voicecheck.server.walks.sittings import Sittings
from voicecheck.server.words import Words, languages
from voicecheck.store.fleet import Fleet
from voicecheck.store.ports import Journal

LANGUAGE_COOKIE = "language"


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One server's parts."""

    settings: ServerSettings
    journal: Journal
    fleet: Fleet | None
    """Units and defects; None: only what the journal shows."""
    clock: Clock
    sittings: Sittings
    entrance: Entrance


def site_of(request: Request) -> Site:
    """Return the site that a request came to."""
    site: Site = request.app.state.site
    return site


def words_of(request: Request) -> Words:
    """Return the texts in the language that the visitor chose."""
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    if chosen not in languages():
        chosen = site_of(request).settings.language
    return Words(chosen)
