"""Words and figures of each reading, for people and for programs.

Every function returns the parts of one result: lines, data, caution, source,
and where it applies negative and extra.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from voicecheck.readings import battery as battery_room
from voicecheck.readings import coolant as coolant_room
from voicecheck.readings import hour_meter as hour_room
from voicecheck.readings import restriction as restriction_room
from voicecheck.readings import tyre as tyre_room
from voicecheck.readings import urea as urea_room
from voicecheck.readings.atmosphere import SEA_LEVEL_KPA, ambient_pressure_kpa
from voicecheck.readings.errors import ReadingError
from voicecheck.readings.units import Kind, convert, parse

__all__ = ["battery", "coolant", "hours", "restriction_lines", "tyre", "urea"]

_TYRE_WORDS = {
    tyre_room.TyreState.SEVERELY_LOW: (
        "four fifths of the recommended pressure or less"
    ),
    tyre_room.TyreState.LOW: "more than a tenth below the recommended pressure",
    tyre_room.TyreState.WITHIN_A_TENTH: "within a tenth of the recommended pressure",
    tyre_room.TyreState.HIGH: "more than a tenth above the recommended pressure",
}
_DO_NOT_INFLATE = (
    "Do not inflate it in place. Stay out of line with the rim and call a tyre fitter."
)


def tyre(
    reading: str,
    *,
    at: str,
    to: str,
    altitude: str | None,
    ambient: str | None,
    recommended: str | None,
) -> dict[str, Any]:
    """Correct a tyre pressure, and judge it where a recommended one is given."""
    gauge = parse(reading, Kind.PRESSURE, "tyre pressure")
    from_c = parse(at, Kind.TEMPERATURE, "--at").to("°C")
    to_c = parse(to, Kind.TEMPERATURE, "--to").to("°C")
    around_kpa = _around_kpa(altitude, ambient)
    cold_kpa = tyre_room.corrected_pressure_kpa(
        gauge.to("kPa"), at_c=from_c, to_c=to_c, ambient_kpa=around_kpa
    )
    there = convert(cold_kpa, "kPa", gauge.unit, Kind.PRESSURE)
    lines = [
        f"{gauge.value:g} {gauge.unit} at {at} is {there:.4g} {gauge.unit} at {to}"
        f" ({cold_kpa:.1f} kPa), air around {around_kpa:.1f} kPa"
    ]
    data: dict[str, Any] = {"corrected_kpa": cold_kpa, "ambient_kpa": around_kpa}
    state = None
    if recommended is not None:
        right_kpa = parse(recommended, Kind.PRESSURE, "--recommended").to("kPa")
        state = tyre_room.judge(cold_kpa, right_kpa)
        lines.append(f"{100 * cold_kpa / right_kpa:.0f} %: {_TYRE_WORDS[state]}")
        data |= {"recommended_kpa": right_kpa, "state": state.value}
    severe = state is tyre_room.TyreState.SEVERELY_LOW
    return {
        "lines": tuple(lines),
        "data": data,
        "caution": tyre_room.CAUTION,
        "source": "ideal gas at fixed volume, absolute pressure (textbook)",
        "negative": state not in {None, tyre_room.TyreState.WITHIN_A_TENTH},
        "extra": (_DO_NOT_INFLATE,) if severe else (),
    }


def _around_kpa(altitude: str | None, ambient: str | None) -> float:
    if ambient is not None:
        return parse(ambient, Kind.PRESSURE, "--ambient").to("kPa")
    if altitude is not None:
        return ambient_pressure_kpa(parse(altitude, Kind.LENGTH, "--altitude").to("m"))
    return SEA_LEVEL_KPA


def battery(gravities: list[float], *, at: str, full: str) -> dict[str, Any]:
    """State of charge by the weakest cell."""
    scale = battery_room.SCALES.get(full)
    if scale is None:
        raise ReadingError(
            "gravity of a full battery", full, " or ".join(battery_room.SCALES)
        )
    at_c = parse(at, Kind.TEMPERATURE, "--at").to("°C")
    charge = battery_room.battery_charge(gravities, at_c=at_c, scale=scale)
    base = f"{scale.base_f:g} °F"
    lines = [
        f"cell {number}: {read:.3f} at {at} is {corrected:.3f} at {base}"
        for number, (read, corrected) in enumerate(
            zip(gravities, charge.corrected, strict=True), 1
        )
    ]
    words = {
        "below_the_scale": "at most ",
        "above_the_scale": "full, above the scale: ",
    }
    about = words.get(charge.beyond.value, "about ")
    lines.append(f"Charge of the weakest cell: {about}{charge.charge_percent:.0f} %")
    extra = []
    if charge.cells_unequal:
        extra.append(
            f"The cells lie {charge.spread:.3f} apart, more than 0.050: suspect "
            "battery [limit from memory]. Have it tested."
        )
    if charge.beyond is not battery_room.Beyond.NEITHER:
        extra.append("Beyond the scale: check hydrometer and fluid, ask the maker.")
    return {
        "lines": tuple(lines),
        "data": {
            "corrected": list(charge.corrected),
            "charge_percent": charge.charge_percent,
            "beyond": charge.beyond.value,
            "spread": charge.spread,
            "cells_unequal": charge.cells_unequal,
        },
        "caution": battery_room.CAUTION,
        "source": scale.source,
        "negative": bool(extra),
        "extra": tuple(extra),
    }


def coolant(
    percent: float | None, *, glycol: coolant_room.Glycol, protect_to: str | None
) -> dict[str, Any]:
    """Freezing point of a share, or the share for a freezing point."""
    if percent is None:
        lowest_c = parse(protect_to or "", Kind.TEMPERATURE, "--protect-to").to("°C")
        share = coolant_room.share_for_percent(lowest_c, glycol)
        point_c = coolant_room.freezing_point_c(share, glycol)
        text = f"Free of ice down to {lowest_c:.0f} °C from {share:.0f} % {glycol}"
    else:
        share, point_c = percent, coolant_room.freezing_point_c(percent, glycol)
        text = f"{percent:g} % {glycol} glycol by volume freezes at {point_c:.0f} °C"
    least, most = coolant_room.RECOMMENDED_PERCENT
    outside = not least <= share <= most
    extra = (
        "Outside the 40 to 60 % that coolants are meant for (ASTM D3306): too little "
        "also means too little protection from rust.",
    )
    return {
        "lines": (f"{text} glycol by volume" if percent is None else text,),
        "data": {
            "glycol": glycol.value,
            "percent_by_volume": share,
            "freezing_point_c": point_c,
            "meant_share": not outside,
        },
        "caution": coolant_room.CAUTION,
        "source": coolant_room.SOURCES[glycol],
        "negative": outside,
        "extra": extra if outside else (),
    }


def urea(
    *, percent: float | None, density: str | None, index: float | None, at: str | None
) -> dict[str, Any]:
    """Strength of urea solution by one of three measurements."""
    at_c = parse(at, Kind.TEMPERATURE, "--at").to("°C") if at else 20.0
    if percent is not None:
        check = urea_room.check_percent(percent)
    elif density is not None:
        measured = parse(density, Kind.DENSITY, "--density").to("kg/m3")
        check = urea_room.check_density(measured, at_c=at_c)
    else:
        check = urea_room.check_refractive_index(index or 0.0, at_c=at_c)
    words = check.state.value.replace("_", " ")
    share = "" if check.percent is None else f", about {check.percent:.1f} % urea"
    return {
        "lines": (f"{words} (31.8 to 33.2 % by mass){share}",),
        "data": {"state": check.state.value, "percent_by_mass": check.percent},
        "caution": urea_room.CAUTION,
        "source": "ISO 22241-1",
        "negative": check.state is not urea_room.UreaState.WITHIN,
    }


def restriction_lines(reading: str, *, limit: str | None) -> dict[str, Any]:
    """One restriction in three units, judged against a limit."""
    most = parse(limit, Kind.PRESSURE, "--limit") if limit else None
    found = restriction_room.restriction(
        parse(reading, Kind.PRESSURE, "restriction"), most
    )
    state = restriction_room.RestrictionState
    lines = [f"{found.kpa:.2f} kPa = {found.mbar:.1f} mbar = {found.in_h2o:.1f} inH2O"]
    if found.state is not state.NOT_JUDGED:
        lines.append(found.state.value.replace("_", " "))
    return {
        "lines": tuple(lines),
        "data": {
            "kpa": found.kpa,
            "mbar": found.mbar,
            "in_h2o": found.in_h2o,
            "state": found.state.value,
        },
        "caution": restriction_room.CAUTION,
        "source": "conversion by definition of the units; limit as given",
        "negative": found.state is state.AT_OR_ABOVE,
    }


def hours(
    previous_h: Decimal, current_h: Decimal, *, passed: str, digits: int, tenths: bool
) -> dict[str, Any]:
    """Hours between two readings, against the time that has passed."""
    meter = hour_room.HourMeter(digits=digits, tenths=tenths)
    passed_h = Decimal(str(parse(passed, Kind.DURATION, "--passed").to("h")))
    found = hour_room.hours_between(
        previous_h, current_h, passed_h=passed_h, meter=meter
    )
    shown = "not known" if found.hours_h is None else f"{found.hours_h} h"
    words = found.flag.value.replace("_", " ")
    return {
        "lines": (f"Hours: {shown} in {float(passed_h):g} h of the calendar: {words}",),
        "data": {
            "hours_h": None if found.hours_h is None else float(found.hours_h),
            "passed_h": float(passed_h),
            "flag": found.flag.value,
            "trusted": found.trusted,
        },
        "caution": hour_room.CAUTION,
        "source": "counter arithmetic; hours against the calendar: common practice",
        "negative": not found.trusted,
    }
