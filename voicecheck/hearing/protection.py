"""The level under a hearing protector, and whether that is too little or much.

Each published method is kept apart; its result names it. Octave-band, H-M-L and
SNR results carry the British "real world" addition beside the plain figure;
ratings on the NRR scale have their own derating instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.protector import HmlRating, OctaveAttenuation
from voicecheck.hearing.spectrum import OctaveLevels

__all__ = [
    "ACTION_LEVEL_DBA",
    "REAL_WORLD_DB",
    "ProtectedLevel",
    "ProtectionMethod",
    "ProtectionVerdict",
    "derated_level_by_nrr",
    "hml_protection_db",
    "judge_protection",
    "level_by_octave_bands",
    "level_from_dba_by_hml",
    "level_from_dba_by_nrr",
    "level_from_dbc_by_nrr",
    "level_from_dbc_by_snr",
    "octave_levels_under",
]

REAL_WORLD_DB = 4.0
"""Addition to a computed level for wear in practice (HSE L108, Great Britain)."""

ACTION_LEVEL_DBA = 85.0
"""Level above which protection is not enough, unless the site sets another."""

A_LESS_C_DB = 7.0
SECOND_PROTECTOR_DB = 5.0


class ProtectionMethod(StrEnum):
    """Published ways to find the level under a protector."""

    OCTAVE_BAND = "octave bands"
    HML = "H-M-L"
    SNR = "SNR"
    NRR_FROM_DBC = "NRR from dBC"
    NRR_FROM_DBA = "NRR less 7 dB from dBA"
    NRR_DERATED = "NRR less 7 dB, halved"
    NRR_DERATED_DOUBLE = "better NRR less 7 dB, halved, plus 5 dB for the second"


class ProtectionVerdict(StrEnum):
    """What the level under the protector says about the protector."""

    TOO_LITTLE = "too little protection"
    ACCEPTABLE_LOUD = "acceptable, on the loud side"
    GOOD = "good protection"
    ACCEPTABLE_QUIET = "acceptable, on the quiet side"
    TOO_MUCH = "too much protection"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectedLevel:
    """A level under the protector and the method that gave it."""

    method: ProtectionMethod
    level_dba: float
    """By the published formula alone."""
    real_world_dba: float
    """With what practice adds; for NRR methods the same as `level_dba`."""


def octave_levels_under(
    noise: OctaveLevels, attenuation: OctaveAttenuation, deviations: float = 1.0
) -> OctaveLevels:
    """Return the octave levels under a protector.

    Where the noise has a 63 Hz level and the protector has none, the assumed
    protection at 125 Hz stands in (common practice, no source).
    """
    assumed = attenuation.assumed_protection_db(deviations)
    count = len(noise.level_db)
    if len(assumed) < count:
        assumed = (assumed[0], *assumed)
    return noise.shifted([-value for value in assumed[-count:]])


def level_by_octave_bands(
    noise: OctaveLevels, attenuation: OctaveAttenuation, deviations: float = 1.0
) -> float:
    """Return the A-weighted level under the protector, band by band.

    Source:
        ISO 4869-2, clause 6 (octave-band method).
    """
    return octave_levels_under(noise, attenuation, deviations).a_level_dba


def hml_protection_db(rating: HmlRating, c_less_a_db: float) -> float:
    """Return the predicted noise level reduction PNR.

    The straight lines end at H for high-pitched noise (difference of -2 dB) and
    at 0 for very low-pitched noise: beyond them they would promise too much, or
    turn protection into gain.

    Source:
        ISO 4869-2, clause 7 (HML method).
    """
    excess_db = max(c_less_a_db - 2.0, -4.0)
    if excess_db <= 0:
        slope = (rating.high_db - rating.medium_db) / 4.0
    else:
        slope = (rating.medium_db - rating.low_db) / 8.0
    return max(0.0, rating.medium_db - slope * excess_db)


def level_from_dba_by_hml(
    level_dba: float, level_dbc: float, rating: HmlRating
) -> float:
    """Return the A-weighted level under the protector by H, M and L."""
    return level_dba - hml_protection_db(rating, level_dbc - level_dba)


def level_from_dbc_by_snr(level_dbc: float, snr_db: float) -> float:
    """Return the A-weighted level under the protector, L_C − SNR.

    Source:
        ISO 4869-2, clause 8 (SNR method).
    """
    return level_dbc - snr_db


def level_from_dbc_by_nrr(level_dbc: float, nrr_db: float) -> float:
    """Return the A-weighted level under the protector, dBC − NRR.

    Source:
        29 CFR 1910.95 Appendix B.
    """
    return level_dbc - nrr_db


def level_from_dba_by_nrr(level_dba: float, nrr_db: float) -> float:
    """Return the level under the protector, dBA − (NRR − 7).

    An NRR below 7 counts as no protection, not as gain.

    Source:
        29 CFR 1910.95 Appendix B.
    """
    return level_dba - max(0.0, nrr_db - A_LESS_C_DB)


def derated_level_by_nrr(
    level_dba: float, nrr_db: float, *, second_protector: bool = False
) -> float:
    """Return the level under the protector as worn in the field.

    Args:
        level_dba: A-weighted level outside.
        nrr_db: the rating; with two protectors, that of the better one.
        second_protector: plugs and muffs together.

    Source:
        OSHA Technical Manual, noise chapter, from memory: (NRR − 7)/2, and
        5 dB more for the second protector.
    """
    field_db = max(0.0, nrr_db - A_LESS_C_DB) / 2.0
    return level_dba - field_db - (SECOND_PROTECTOR_DB if second_protector else 0.0)


def judge_protection(
    level_at_ear_dba: float, action_level_dba: float = ACTION_LEVEL_DBA
) -> ProtectionVerdict:
    """Return the verdict on a level under the protector.

    With an action level of 85: above 85 too little, above 80 acceptable, 75 to
    80 good, 70 up to 75 acceptable, below 70 too much. The table leaves exact
    boundaries open; here each falls to the better side, so 85 and 70 are
    acceptable, 80 and 75 good.

    Raises:
        LevelError: the level is not a number.

    Source:
        EN 458, table of protection ratings, from memory; HSE (Great Britain):
        aim at 70 to 80 dBA, below 70 is likely over-protection.
    """
    if math.isnan(level_at_ear_dba):
        raise LevelError("level under the protector", level_at_ear_dba, "a number")
    # Rounded so that a tie does not hang on the last bit of a logarithm.
    below_action_db = round(action_level_dba - level_at_ear_dba, 9)
    if below_action_db < 0:
        return ProtectionVerdict.TOO_LITTLE
    if below_action_db < 5:
        return ProtectionVerdict.ACCEPTABLE_LOUD
    if below_action_db <= 10:
        return ProtectionVerdict.GOOD
    if below_action_db <= 15:
        return ProtectionVerdict.ACCEPTABLE_QUIET
    return ProtectionVerdict.TOO_MUCH
