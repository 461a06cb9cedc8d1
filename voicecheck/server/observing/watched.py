"""One observation as somebody who marks sees it."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from voicecheck.errors import NotAllowed, ObserveError
from voicecheck.observe.events import Begun
from voicecheck.observe.keeping import Observations, started
from voicecheck.observe.observation import Observation
from voicecheck.round.checklist import Checklist
from voicecheck.server import checklists
from voicecheck.server.people.signed_in import people_of
from voicecheck.server.site import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """An observation with the checklist that is walked."""

    observation: Observation
    begun: Begun
    checklist: Checklist


def observations(site: Site) -> Observations:
    """Return all observations that this server keeps."""
    return Observations(people_of(site), site.clock)


def checklist_of(site: Site, begun: Begun, language: str = "") -> Checklist:
    """Return the checklist of an observation.

    Args:
        site: whose checklists there are.
        begun: names it.
        language: wanted; empty, or one that it does not have: that of the walk.

    Raises:
        ObserveError: the checklist is another one now.
        UsageError: this server has none of that name.
    """
    walked = checklists.chosen(site.settings, begun.checklist, begun.language)
    if walked.sha256 != begun.checklist_sha256:
        raise ObserveError(
            f"the checklist {begun.checklist} was changed since this walk began; put "
            f"version {begun.checklist_version} back, then open this page again"
        )
    for each in checklists.offered(site.settings):
        if each.name == begun.checklist and language in each.languages:
            return checklists.chosen(site.settings, begun.checklist, language)
    return walked


def begun_by(site: Site, trainee: str, observation: UUID, assessor: str) -> Begun:
    """Return the beginning of an observation that an assessor marks.

    It never changes, so it is remembered: marks come in many batches, and writing
    them is no look at the results.

    Raises:
        NotAllowed, ObserveError: as `watched_by`.
    """
    key = (trainee, observation, assessor)
    if key not in site.begun:
        found = watched_by(site, trainee, observation, assessor)
        site.begun[key] = found.begun
    return site.begun[key]


def watched_by(site: Site, trainee: str, observation: UUID, assessor: str) -> Watched:
    """Return what an assessor may mark; the look is written down.

    Raises:
        NotAllowed: another assessor began it.
        ObserveError: there is none.
    """
    found = observations(site).load(trainee, observation, assessor)
    begun = started(found)
    if begun.by != assessor:
        raise NotAllowed(
            f"{begun.by} marks this walk; begin an observation of your own"
        )
    checklist = checklist_of(site, begun)
    return Watched(observation=found, begun=begun, checklist=checklist)
