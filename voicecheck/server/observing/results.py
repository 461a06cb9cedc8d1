"""What a watched walk showed, as the pages and files give it."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from voicecheck.errors import ObserveError
from voicecheck.observe.decision import Decided, decide
from voicecheck.observe.document import result_sha256
from voicecheck.observe.events import Begun
from voicecheck.observe.keeping import started
from voicecheck.observe.observation import Observation
from voicecheck.observe.report.words import Words
from voicecheck.observe.result import Result, result
from voicecheck.round.checklist import Checklist
from voicecheck.server.observing.watched import checklist_of, observations
from voicecheck.server.site import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One result with what it was worked out from."""

    begun: Begun
    observation: Observation
    result: Result
    decided: Decided
    words: Words
    sha256: str
    """Of the result's document; signatures name it."""


def shown(
    site: Site, trainee: str, observation: UUID, reader: str, language: str
) -> Shown:
    """Work out a result; the look is written down.

    Raises:
        NotAllowed: the reader may not see it.
        ObserveError: there is none, or the walk has not ended.
    """
    found = observations(site).load(trainee, observation, reader)
    begun = started(found)
    if found.opened is None:
        raise ObserveError(
            f"this walk has not ended: {begun.by} ends it, which opens the seal"
        )
    worked_out = result(found, checklist_of(site, begun))
    decided = decide(worked_out)
    return Shown(
        begun=begun,
        observation=found,
        result=worked_out,
        decided=decided,
        words=Words(checklist_of(site, begun, language)),
        sha256=result_sha256(worked_out, decided),
    )


def course_results(
    site: Site, reader: str, checklist: Checklist
) -> list[tuple[Begun, Result]]:
    """Return all results on a checklist that a reader may see; each is a look."""
    found = []
    for one in observations(site).visible(reader):
        begun = one.begun
        if begun is None or one.opened is None:
            continue
        if begun.checklist_sha256 == checklist.sha256:
            found.append((begun, result(one, checklist)))
    return found
