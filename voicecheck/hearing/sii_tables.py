"""Constants of the speech intelligibility index.

Source:
    ANSI S3.5-1997: Table 3 (one-third octave bands), Table 4 (octave bands),
    Table B.3 (importance of the octave bands for other speech material).
    Levels are spectrum levels, dB re 20 µPa in a band of 1 Hz.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

__all__ = [
    "OCTAVE",
    "OCTAVE_IMPORTANCE",
    "THIRD_OCTAVE",
    "SiiBands",
    "SpeechMaterial",
    "VocalEffort",
]


class VocalEffort(StrEnum):
    """Vocal efforts of ANSI S3.5. Not those of ISO 9921: never mix them."""

    NORMAL = "normal"
    RAISED = "raised"
    LOUD = "loud"
    SHOUT = "shout"

    @property
    def overall_level_db(self) -> float:
        """Unweighted overall speech level at 1 m."""
        return {"normal": 62.35, "raised": 68.34, "loud": 74.85, "shout": 82.30}[self]


class SpeechMaterial(StrEnum):
    """Kinds of speech whose band importance Table B.3 gives."""

    AVERAGE = "average speech"
    RHYME = "rhyme-like words"
    NONSENSE = "nonsense syllables"
    PASSAGES = "short passages"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiiBands:
    """One table of the standard; every tuple has one entry per band."""

    midband_hz: tuple[float, ...]
    importance: tuple[float, ...]
    """Band importance for average speech; adds up to 1."""
    speech_db: Mapping[VocalEffort, tuple[float, ...]]
    """Standard speech spectrum level at 1 m, per vocal effort."""
    internal_noise_db: tuple[float, ...]
    """Reference internal noise spectrum level."""
    bandwidth_db: tuple[float, ...]
    """Band level less spectrum level."""


OCTAVE = SiiBands(
    midband_hz=(250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0),
    importance=(0.0617, 0.1671, 0.2373, 0.2648, 0.2142, 0.0549),
    speech_db=MappingProxyType(
        {
            VocalEffort.NORMAL: (34.75, 34.27, 25.01, 17.32, 9.33, 1.13),
            VocalEffort.RAISED: (38.98, 40.15, 33.86, 25.32, 16.78, 5.07),
            VocalEffort.LOUD: (41.55, 44.85, 42.16, 34.39, 25.41, 11.39),
            VocalEffort.SHOUT: (42.50, 49.24, 51.31, 44.32, 34.41, 20.72),
        }
    ),
    internal_noise_db=(-3.9, -9.7, -12.5, -17.7, -25.9, -7.1),
    bandwidth_db=(22.48, 25.48, 28.48, 31.48, 34.48, 37.48),
)

OCTAVE_IMPORTANCE: Mapping[SpeechMaterial, tuple[float, ...]] = MappingProxyType(
    {
        SpeechMaterial.AVERAGE: OCTAVE.importance,
        SpeechMaterial.RHYME: (0.0960, 0.2043, 0.2343, 0.2643, 0.1501, 0.0510),
        SpeechMaterial.NONSENSE: (0.0437, 0.1294, 0.2025, 0.3117, 0.2576, 0.0551),
        SpeechMaterial.PASSAGES: (0.1004, 0.2551, 0.1960, 0.2322, 0.1744, 0.0419),
    }
)

# fmt: off
THIRD_OCTAVE = SiiBands(
    midband_hz=(
        160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0, 1000.0,
        1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0,
    ),
    importance=(
        0.0083, 0.0095, 0.0150, 0.0289, 0.0440, 0.0578, 0.0653, 0.0711, 0.0818,
        0.0844, 0.0882, 0.0898, 0.0868, 0.0844, 0.0771, 0.0527, 0.0364, 0.0185,
    ),
    speech_db=MappingProxyType({
        VocalEffort.NORMAL: (
            32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.30, 25.01,
            23.00, 20.15, 17.32, 13.18, 11.55, 9.33, 5.31, 2.59, 1.13,
        ),
        VocalEffort.RAISED: (
            33.81, 33.92, 38.98, 38.57, 39.11, 40.15, 38.78, 36.37, 33.86,
            31.89, 28.58, 25.32, 22.35, 20.15, 16.78, 11.47, 7.67, 5.07,
        ),
        # Copies of the table differ at 400 Hz, loud: 43.30 here, 43.40 in
        # others. The index moves by less than 0.0002.
        VocalEffort.LOUD: (
            35.29, 37.76, 41.55, 43.78, 43.30, 44.85, 45.55, 44.05, 42.16,
            40.53, 37.70, 34.39, 30.98, 28.21, 25.41, 18.35, 13.87, 11.39,
        ),
        VocalEffort.SHOUT: (
            30.77, 36.65, 42.50, 46.51, 47.40, 49.24, 51.21, 51.44, 51.31,
            49.63, 47.65, 44.32, 40.80, 38.13, 34.41, 28.24, 23.45, 20.72,
        ),
    }),
    internal_noise_db=(
        0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5,
        -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1,
    ),
    bandwidth_db=(
        15.65, 16.65, 17.65, 18.65, 19.65, 20.65, 21.65, 22.65, 23.65,
        24.65, 25.65, 26.65, 27.65, 28.65, 29.65, 30.65, 31.65, 32.65,
    ),
)
# fmt: on
