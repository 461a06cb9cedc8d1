"""By what a walk is judged: measures with bounds, and what fails at once.

Criteria are data. The defaults lie in `criteria.toml`; a file of a site is laid
over them and can only make them stricter.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from voicecheck.checklists.files import read_toml
from voicecheck.errors import UsageError
from voicecheck.observe.marks import UnsafeAct

FORMAT = 1


class Measure(StrEnum):
    """What is measured."""

    PLANTED_FOUND = "planted_found"
    """Share of planted faults that were found."""
    COVERAGE = "coverage"
    """Share of points that were looked at properly."""
    ORDER = "order"
    """Kendall's tau of the points walked."""
    FALSE_ALARMS = "false_alarms"
    """Share of points without a fault that were called faults."""
    UNSAFE_ACTS = "unsafe_acts"
    """How many."""


_DOWNWARD = {Measure.FALSE_ALARMS, Measure.UNSAFE_ACTS}
"""Measures of which less is better: they have `at_most`, the others `at_least`."""


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Criterion(_File):
    """A measure with its bound."""

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)
    measure: Measure
    at_least: float | None = Field(None, ge=-1, le=1)
    at_most: float | None = Field(None, ge=0)
    least_trials: int = Field(0, ge=0, description="Fewer tell nothing.")
    source: str = Field(min_length=1, max_length=400)

    def met(self, value: float) -> bool:
        """Tell whether a value keeps the bound; one on the bound does."""
        if self.at_least is not None:
            return value >= self.at_least - 1e-9
        return self.at_most is not None and value <= self.at_most + 1e-9

    def problem(self) -> str | None:
        """Say why it cannot be used, or return None."""
        wanted, other = "at_least", "at_most"
        if self.measure in _DOWNWARD:
            wanted, other = other, wanted
        if getattr(self, wanted) is None or getattr(self, other) is not None:
            return f"{self.id}: {self.measure} takes {wanted}, not {other}"
        return None


class CriticalPoint(_File):
    """Something that fails at once."""

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)
    act: UnsafeAct | None = Field(None, description="An unsafe act that was marked.")
    missed: tuple[str, ...] = Field((), description="Points that must not be missed.")
    planted_critical: bool = Field(False, description="A critical planted fault.")
    text: str = Field("", max_length=300, description="For one that a site adds.")
    source: str = Field(min_length=1, max_length=400)

    def problem(self) -> str | None:
        """Say why it cannot be used, or return None."""
        if self.act is None and not self.missed and not self.planted_critical:
            return f"{self.id}: give act, missed or planted_critical"
        return None


class Criteria(_File):
    """All criteria of one observation."""

    format: Literal[1] = 1
    name: str = Field(min_length=1, max_length=100)
    certainty: float = Field(0.95, ge=0.5, le=0.999)
    allowed_miss_share: float = Field(0.05, ge=0.001, lt=1)
    measures: tuple[Criterion, ...] = ()
    critical: tuple[CriticalPoint, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Where:
    path: Path

    def refuse(self, problem: str) -> UsageError:
        return UsageError(f"{self.path}: {problem}")


@cache
def default_criteria() -> Criteria:
    """Return the criteria that come with voicecheck."""
    with as_file(files(__package__).joinpath("criteria.toml")) as path:
        return _read(path)


def site_criteria(path: Path) -> Criteria:
    """Return the defaults, tightened by the file of a site.

    Raises:
        UsageError: the file is not of the form, or would loosen a criterion.
    """
    site, usual, where = _read(path), default_criteria(), _Where(path=path)
    measures = {one.id: one for one in usual.measures}
    for one in site.measures:
        if one.id in measures:
            loosened = _loosened(measures[one.id], one)
            if loosened:
                raise where.refuse(f"{one.id}: {loosened}")
        measures[one.id] = one
    critical = {one.id: one for one in usual.critical}
    for point in site.critical:
        critical[point.id] = _joined(critical.get(point.id), point, where)
    if site.certainty < usual.certainty:
        raise where.refuse(f"certainty: a site can only tighten {usual.certainty:g}")
    if site.allowed_miss_share > usual.allowed_miss_share:
        raise where.refuse(
            f"allowed_miss_share: a site can only tighten {usual.allowed_miss_share:g}"
        )
    return site.model_copy(
        update={
            "measures": tuple(measures.values()),
            "critical": tuple(critical.values()),
        }
    )


def criteria_to_json(criteria: Criteria) -> dict[str, Any]:
    """Return criteria as JSON data."""
    return criteria.model_dump(mode="json")


def criteria_from_json(data: Any) -> Criteria:
    """Return the criteria that JSON data stands for.

    Raises:
        ValueError: not of the form.
    """
    return Criteria.model_validate(data)


def _read(path: Path) -> Criteria:
    data, where = read_toml(path), _Where(path=path)
    try:
        criteria = Criteria.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = " > ".join(str(step) for step in first["loc"]) or "the file"
        raise where.refuse(f"{place}: {first['msg']}") from error
    every: list[Criterion | CriticalPoint] = [*criteria.measures, *criteria.critical]
    for one in every:
        problem = one.problem()
        if problem:
            raise where.refuse(problem)
    if len({one.id for one in every}) != len(every):
        raise where.refuse("an id stands twice; give each its own")
    return criteria


def _loosened(usual: Criterion, site: Criterion) -> str | None:
    if site.measure is not usual.measure:
        return f"it measures {usual.measure}; give another measure another id"
    if site.least_trials < usual.least_trials:
        return f"least_trials: a site can only tighten {usual.least_trials}"
    if usual.at_least is not None and (site.at_least or 0) < usual.at_least:
        return f"at_least: a site can only tighten {usual.at_least:g}"
    if usual.at_most is not None and (site.at_most or 0) > usual.at_most:
        return f"at_most: a site can only tighten {usual.at_most:g}"
    return None


def _joined(
    usual: CriticalPoint | None, site: CriticalPoint, where: _Where
) -> CriticalPoint:
    """A site adds points to what fails at once, and takes nothing away."""
    if usual is None:
        if not site.text:
            raise where.refuse(f"{site.id}: text: say in words what fails at once")
        return site
    if site.act not in (None, usual.act):
        raise where.refuse(f"{site.id}: act: a site cannot change {usual.act}")
    return usual.model_copy(
        update={
            "missed": tuple(dict.fromkeys((*usual.missed, *site.missed))),
            "planted_critical": usual.planted_critical or site.planted_critical,
            "source": site.source,
        }
    )
