"""All figures of a period, computed from walks and what else is known."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import pairwise

from voicecheck.errors import VoicecheckError
from voicecheck.readings.hour_meter import HourMeter, hours_between
from voicecheck.readings.tyre import corrected_pressure_kpa
from voicecheck.report.period.walked import Reading, Walked
from voicecheck.statistics.consumption import litres_per_100_h
from voicecheck.statistics.defects import DefectLife, lives, repair_spans, repeats
from voicecheck.statistics.pace import Hurry, WalkPace, hurried
from voicecheck.statistics.pareto import ParetoRow, pareto
from voicecheck.statistics.shifts import Covered, Shift, ShiftCover, cover
from voicecheck.statistics.survival import (
    Median,
    SurvivalStep,
    kaplan_meier,
    median_time,
)
from voicecheck.statistics.trend import Trend, fit_trend

DAY_S = 86400.0
_HOUR_METER = "hour_meter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """Fluid that somebody filled up."""

    unit: str
    day: date
    fluid: str
    litres: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What belongs to a period beside its walks."""

    shifts: tuple[Shift, ...]
    defects: tuple[DefectLife, ...] | None = None
    """Of the workshop; None: told from the walks."""
    air_c: Mapping[date, float] | None = None
    """Temperature of the air, taken as that of cold tyres; None: not known."""
    tyre_points: frozenset[str] = frozenset()
    """Checkpoints whose reading is the pressure of a tyre."""
    reference_c: float = 20.0
    """To which tyre pressures are corrected."""
    added: tuple[Added, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One reading of one machine over time."""

    unit: str
    checkpoint: str
    title: str
    measure: str
    days: tuple[float, ...]
    """Days since the start of the period."""
    values: tuple[float, ...]
    low: float | None
    high: float | None
    corrected: bool
    """To the reference temperature."""
    trend: Trend | None
    """Change for one day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumption:
    """Fluid added to one machine in the period."""

    unit: str
    fluid: str
    litres: float
    hours_run: float | None
    rate: float | None
    """Litres for 100 hours; None: the hours are not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What a report of a period shows."""

    start: datetime
    end: datetime
    units: tuple[str, ...]
    outcomes: Mapping[str, int]
    cover: tuple[ShiftCover, ...]
    zones: tuple[ParetoRow, ...]
    repair: tuple[SurvivalStep, ...]
    repair_median_h: Median
    defects: int
    repaired: int
    from_workshop: bool
    repeats: tuple[tuple[str, str, int], ...]
    """Unit, checkpoint in words, times found."""
    series: tuple[Series, ...]
    reference_c: float
    consumption: tuple[Consumption, ...]
    hurried: tuple[tuple[Walked, frozenset[Hurry]], ...]

    def shifts(self, what: Covered) -> int:
        """Return how many shifts had this."""
        return sum(one.covered is what for one in self.cover)

    @property
    def walks(self) -> int:
        """Return how many walks there were."""
        return sum(self.outcomes.values())


def figures(
    walks: Sequence[Walked], known: Known, start: datetime, end: datetime
) -> Figures:
    """Compute everything that a report of a period shows.

    Args:
        walks: those begun within the period.
        known: shifts, defects, temperatures and fluids.
        start: of the period.
        end: of the period; what is open then counts as open.
    """
    ordered = sorted(walks, key=lambda walk: walk.done.start)
    titles = {name: text for walk in ordered for name, text in walk.titles.items()}
    looks = [look for walk in ordered for look in walk.seen]
    defects = lives(looks) if known.defects is None else known.defects
    spans = repair_spans(defects, end)
    steps = kaplan_meier(spans)
    paces: list[WalkPace] = [walk.pace for walk in ordered]
    fast = hurried(paces)
    return Figures(
        start=start,
        end=end,
        units=tuple(sorted({w.done.unit for w in ordered} | _units(known))),
        outcomes=Counter(walk.outcome for walk in ordered),
        cover=cover(known.shifts, [walk.done for walk in ordered]),
        zones=pareto(zone for walk in ordered for zone in walk.zones),
        repair=steps,
        repair_median_h=median_time(steps),
        defects=len(spans),
        repaired=sum(span.happened for span in spans),
        from_workshop=known.defects is not None,
        repeats=tuple(
            (unit, titles.get(name, name), count)
            for unit, name, count in repeats(defects)
        ),
        series=_all_series(ordered, known, start),
        reference_c=known.reference_c,
        consumption=_consumption(ordered, known.added),
        hurried=tuple(
            (walk, fast[walk.done.walk_id])
            for walk in ordered
            if walk.done.walk_id in fast
        ),
    )


def _units(known: Known) -> set[str]:
    return {shift.unit for shift in known.shifts}


def _all_series(
    walks: Sequence[Walked], known: Known, start: datetime
) -> tuple[Series, ...]:
    groups: dict[tuple[str, str], list[Reading]] = {}
    for walk in walks:
        for reading in walk.readings:
            if reading.checkpoint != _HOUR_METER:
                groups.setdefault((reading.unit, reading.checkpoint), []).append(
                    reading
                )
    return tuple(_series(groups[key], known, start) for key in sorted(groups))


def _series(readings: Sequence[Reading], known: Known, start: datetime) -> Series:
    newest = readings[-1]
    corrected = _corrected(readings, known)
    values = corrected or [reading.value for reading in readings]
    days = [(reading.at - start).total_seconds() / DAY_S for reading in readings]
    return Series(
        unit=newest.unit,
        checkpoint=newest.checkpoint,
        title=newest.title,
        measure=newest.measure,
        days=tuple(days),
        values=tuple(values),
        low=newest.low,
        high=newest.high,
        corrected=corrected is not None,
        trend=fit_trend(days, values),
    )


def _corrected(readings: Sequence[Reading], known: Known) -> list[float] | None:
    """Tyre pressures at the reference temperature; None when it cannot be done."""
    air_c = known.air_c
    if air_c is None or readings[0].checkpoint not in known.tyre_points:
        return None
    if any(r.measure != "kPa" or r.at.date() not in air_c for r in readings):
        return None  # some corrected and some not would look like a trend
    try:
        return [
            corrected_pressure_kpa(
                reading.value, at_c=air_c[reading.at.date()], to_c=known.reference_c
            )
            for reading in readings
        ]
    except VoicecheckError:
        return None  # a flat tyre has no pressure to correct


def _consumption(
    walks: Sequence[Walked], added: Sequence[Added]
) -> tuple[Consumption, ...]:
    sums: defaultdict[tuple[str, str], float] = defaultdict(float)
    for one in added:
        sums[one.unit, one.fluid] += one.litres
    rows = []
    for (unit, fluid), litres in sorted(sums.items()):
        hours = hours_run([walk for walk in walks if walk.done.unit == unit])
        rate = None if hours is None else litres_per_100_h(litres, hours)
        rows.append(
            Consumption(
                unit=unit, fluid=fluid, litres=litres, hours_run=hours, rate=rate
            )
        )
    return tuple(rows)


def hours_run(walks: Sequence[Walked]) -> float | None:
    """Return what the meter of one machine moved on over its walks.

    Args:
        walks: of one machine, by time.

    Returns:
        None where two readings following each other are not to be trusted.
    """
    read = [walk for walk in walks if walk.hour_meter_h is not None]
    total = Decimal(0)
    for before, after in pairwise(read):
        passed = (after.done.start - before.done.start).total_seconds() / 3600
        try:
            between = hours_between(
                Decimal(str(before.hour_meter_h)),
                Decimal(str(after.hour_meter_h)),
                passed_h=Decimal(str(round(passed, 3))),
                meter=HourMeter(),
            )
        except VoicecheckError:
            return None
        if not between.trusted or between.hours_h is None:
            return None
        total += between.hours_h
    return float(total) if len(read) > 1 else None
