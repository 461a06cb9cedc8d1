"""People, a sealed scenario and a begun observation, for tests of the pages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from uuid import UUID

from voicecheck.checklists import load
from voicecheck.clock import Clock
from voicecheck.observe import sealed_files
from voicecheck.observe.criteria import default_criteria
from voicecheck.observe.keeping import Observations
from voicecheck.observe.scenario import PlantedFault, Scenario
from voicecheck.observe.seal import Sealed, seal
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checklist

SUPERVISOR, ASSESSOR, TRAINEE, OTHER = "A.Poe", "M.Roe", "J.Doe", "C.Poe"


@dataclass(frozen=True, kw_only=True)
class Watching:
    """One observation that has begun, and the codes of those who know of it."""

    checklist: Checklist
    observation: UUID
    sealed: Sealed
    codes: dict[str, str]

    @property
    def place(self) -> str:
        """The address of the observation, without what follows."""
        return f"/observe/of/{TRAINEE}/{self.observation}"


def begin_watching(
    store: PeopleStore,
    home: Path,
    clock: Clock,
    *,
    checklist: str | Path = "wheel-loader",
    planted: dict[str, Answer],
) -> Watching:
    """Register four people, seal a scenario, and begin to watch one of them.

    Args:
        store: empty.
        home: where sealed scenarios lie.
        clock: tells when.
        checklist: a name or a file.
        planted: what is wrong, by checkpoint.
    """
    roles = {SUPERVISOR: Role.SUPERVISOR, ASSESSOR: Role.ASSESSOR}
    for who in (SUPERVISOR, ASSESSOR, TRAINEE, OTHER):
        store.register(who, {roles.get(who, Role.LEARNER)}, SUPERVISOR)
    loaded = load(checklist)
    scenario = Scenario(
        title="Yard test",
        checklist=loaded.name,
        checklist_version=loaded.version,
        checklist_sha256=loaded.sha256,
        planted=tuple(
            PlantedFault(checkpoint=point, expected=answer, described="As described.")
            for point, answer in planted.items()
        ),
    )
    at = clock.now() - timedelta(minutes=5)
    sealed = seal(scenario, default_criteria(), at=at)
    sealed_files.keep(sealed, home)
    begun = Observations(store, clock).begin(
        trainee=TRAINEE, unit="L-12", checklist=loaded, sealed=sealed, by=ASSESSOR
    )
    return Watching(
        checklist=loaded,
        observation=begun.observation,
        sealed=sealed,
        codes={
            who: store.issue_code(who, SUPERVISOR)
            for who in (SUPERVISOR, ASSESSOR, TRAINEE, OTHER)
        },
    )
