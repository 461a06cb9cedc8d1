"""How much louder people talk in noise, as a range: the Lombard effect."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CHANGE_POINT_DBA", "LombardRise", "lombard_rise"]

CHANGE_POINT_DBA = 43.3
"""Noise level from which voices rise faster (Bottalico et al. 2017)."""

STEEP_SLOPE = 0.65
"""Rise per dB above it (Bottalico et al. 2017, Acta Acust. united Ac. 103)."""

GENTLE_SLOPE = 0.3
"""Rise per dB (van Heusden, Plomp and Pols 1979, Appl. Acoust.)."""

HIGHEST_RISE_DB = 24.0
"""From relaxed to very loud, 54 to 78 dBA at 1 m (ISO 9921): taken here for the
ceiling, since voices level off in very loud noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LombardRise:
    """Least and most rise of the voice over its level in quiet."""

    least_db: float
    most_db: float


def lombard_rise(noise_dba: float) -> LombardRise:
    """Estimate how far the voice rises above its level at the change point.

    The ratio of voice to noise still falls, by 0.35 to 0.7 dB for each dB of
    noise. Voices rise less when the ears are covered: take the figure for an upper
    estimate there.

    Source:
        Bottalico, Passione, Graetzer and Hunter 2017, Acta Acust. united Ac.
        103(1); van Heusden, Plomp and Pols 1979, Appl. Acoust.
    """
    above_db = max(0.0, noise_dba - CHANGE_POINT_DBA)
    return LombardRise(
        least_db=min(HIGHEST_RISE_DB, GENTLE_SLOPE * above_db),
        most_db=min(HIGHEST_RISE_DB, STEEP_SLOPE * above_db),
    )
