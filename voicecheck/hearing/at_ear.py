"""From the noise outside to the noise at the ear, by every method that fits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Self

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.protection import (
    ACTION_LEVEL_DBA,
    REAL_WORLD_DB,
    ProtectedLevel,
    ProtectionMethod,
    ProtectionVerdict,
    derated_level_by_nrr,
    judge_protection,
    level_by_octave_bands,
    level_from_dba_by_hml,
    level_from_dba_by_nrr,
    level_from_dbc_by_nrr,
    level_from_dbc_by_snr,
    octave_levels_under,
)
from voicecheck.hearing.protector import Protector
from voicecheck.hearing.spectrum import HIGHEST_LEVEL_DB, OctaveLevels

__all__ = [
    "IDLING_MACHINE",
    "NoiseReading",
    "ProtectorCheck",
    "WearPractice",
    "check_protector",
    "noise_at_ear",
]

IDLING_MACHINE = OctaveLevels.of((-math.inf, 78, 76, 74, 70, 64, 56))
"""Shape of an idling diesel, used where only dBA is known: our own example,
no published source; nothing below 250 Hz, which the index does not need."""

_PREFERENCE = (
    ProtectionMethod.NRR_DERATED_DOUBLE,
    ProtectionMethod.OCTAVE_BAND,
    ProtectionMethod.HML,
    ProtectionMethod.SNR,
    ProtectionMethod.NRR_DERATED,
)
"""Which result is believed: the most detailed method first; the underated NRR
figures are shown but never relied on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseReading:
    """The noise where the operator stands, as far as it is known."""

    level_dba: float
    level_dbc: float | None = None
    octave: OctaveLevels | None = None

    def __post_init__(self) -> None:
        """Refuse levels that no yard has."""
        for name, level in (("dBA", self.level_dba), ("dBC", self.level_dbc)):
            if level is not None and not 0 <= level <= HIGHEST_LEVEL_DB:
                raise LevelError(
                    f"noise level in {name}",
                    level,
                    f"0 to {HIGHEST_LEVEL_DB:g} (a calibrated reading)",
                )

    @classmethod
    def of_octaves(cls, octave: OctaveLevels) -> Self:
        """Take octave levels; the weighted levels follow from them."""
        return cls(
            level_dba=octave.a_level_dba, level_dbc=octave.c_level_dbc, octave=octave
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WearPractice:
    """How carefully the protector's figures are read."""

    deviations: float = 1.0
    """Standard deviations taken off the mean: 1 covers 84 % of wearers."""
    real_world_db: float = REAL_WORLD_DB
    """Added to octave-band, H-M-L and SNR results; 0 leaves them plain."""
    action_level_dba: float = ACTION_LEVEL_DBA

    def __post_init__(self) -> None:
        """Refuse readings that would promise more than the packaging."""
        if not 0 <= self.deviations <= 3:
            raise LevelError("standard deviations", self.deviations, "0 to 3")
        if not 0 <= self.real_world_db <= 20:
            raise LevelError("real-world addition", self.real_world_db, "0 to 20 dB")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectorCheck:
    """A protector in one noise."""

    name: str
    levels: tuple[ProtectedLevel, ...]
    """One result per method that the data allow."""
    used: ProtectedLevel | None
    """The one that the verdict and everything after it rest on."""
    verdict: ProtectionVerdict | None
    """None where no level could be computed: unknown, not good."""
    missing: tuple[str, ...]
    """What would have to be known for the methods left out."""


def check_protector(
    noise: NoiseReading,
    protector: Protector,
    *,
    second: Protector | None = None,
    practice: WearPractice | None = None,
) -> ProtectorCheck:
    """Compute the level under a protector by each method that fits.

    Args:
        noise: outside the protector.
        protector: the one that is worn.
        second: another worn over or under it; then only the derated NRR rule
            for two protectors is used, no other method here covers that.
        practice: how carefully the figures are read.
    """
    practice = practice or WearPractice()
    if second is not None:
        levels, missing = _double(noise, protector, second)
    else:
        levels, missing = _single(noise, protector, practice)
    by_method = {level.method: level for level in levels}
    used = next((by_method[m] for m in _PREFERENCE if m in by_method), None)
    verdict = (
        judge_protection(used.real_world_dba, practice.action_level_dba)
        if used
        else None
    )
    name = protector.name if second is None else f"{protector.name} and {second.name}"
    return ProtectorCheck(
        name=name, levels=levels, used=used, verdict=verdict, missing=missing
    )


def noise_at_ear(
    noise: NoiseReading,
    sound: OctaveLevels,
    *,
    check: ProtectorCheck | None,
    protector: Protector | None,
    practice: WearPractice | None = None,
) -> OctaveLevels | None:
    """Take a sound from outside to the ear as the noise is taken there.

    Where the octave-band result is used, band by band; otherwise all bands
    drop by the one figure that the method gives, since it tells no more.

    Returns:
        None where the level under the protector is unknown.
    """
    practice = practice or WearPractice()
    if check is None:
        return sound
    if check.used is None:
        return None
    octave = protector.octave if protector else None
    if octave and check.used.method is ProtectionMethod.OCTAVE_BAND:
        under = octave_levels_under(sound, octave, practice.deviations)
        return under.shifted(practice.real_world_db)
    return sound.shifted(check.used.real_world_dba - noise.level_dba)


def _single(
    noise: NoiseReading, protector: Protector, practice: WearPractice
) -> tuple[tuple[ProtectedLevel, ...], tuple[str, ...]]:
    levels: list[ProtectedLevel] = []
    missing: list[str] = []
    a_level, c_level = noise.level_dba, noise.level_dbc

    def add(method: ProtectionMethod, level_dba: float, extra_db: float) -> None:
        levels.append(
            ProtectedLevel(
                method=method, level_dba=level_dba, real_world_dba=level_dba + extra_db
            )
        )

    extra = practice.real_world_db
    if protector.octave and noise.octave:
        level = level_by_octave_bands(
            noise.octave, protector.octave, practice.deviations
        )
        add(ProtectionMethod.OCTAVE_BAND, level, extra)
    elif protector.octave:
        missing.append("the octave-band method needs octave levels of the noise")
    if c_level is None:
        named = _needing_c(protector)
        missing += [f"{name} needs a reading in dBC as well" for name in named]
    if protector.hml and c_level is not None:
        level = level_from_dba_by_hml(a_level, c_level, protector.hml)
        add(ProtectionMethod.HML, level, extra)
    if protector.snr_db is not None and c_level is not None:
        level = level_from_dbc_by_snr(c_level, protector.snr_db)
        add(ProtectionMethod.SNR, level, extra)
    if protector.nrr_db is not None:
        nrr = protector.nrr_db
        if c_level is not None:
            level = level_from_dbc_by_nrr(c_level, nrr)
            add(ProtectionMethod.NRR_FROM_DBC, level, 0)
        add(ProtectionMethod.NRR_FROM_DBA, level_from_dba_by_nrr(a_level, nrr), 0)
        add(ProtectionMethod.NRR_DERATED, derated_level_by_nrr(a_level, nrr), 0)
    return tuple(levels), tuple(missing)


def _needing_c(protector: Protector) -> list[str]:
    ratings = (
        ("H-M-L", protector.hml),
        ("SNR", protector.snr_db),
        ("NRR from dBC", protector.nrr_db),
    )
    return [name for name, rating in ratings if rating is not None]


def _double(
    noise: NoiseReading, first: Protector, second: Protector
) -> tuple[tuple[ProtectedLevel, ...], tuple[str, ...]]:
    ratings = [p.nrr_db for p in (first, second) if p.nrr_db is not None]
    if len(ratings) < 2:
        return (), ("two protectors together need the NRR of both",)
    level = derated_level_by_nrr(noise.level_dba, max(ratings), second_protector=True)
    method = ProtectionMethod.NRR_DERATED_DOUBLE
    return (ProtectedLevel(method=method, level_dba=level, real_world_dba=level),), ()
