"""How unlike two phones are in noise, from how they are made.

Each phone (ARPAbet, without stress) has articulatory features as textbooks
of phonetics give them: voicing, nasality, noise of the narrowing, length of
that noise, place, for consonants; height, backness, length and glide for
vowels. Values from memory of the charts of the International Phonetic
Association.

Features count as much as noise leaves of them. Source of the order: Miller
and Nicely 1955, JASA 27:338, on 16 consonants in noise. Voicing and nasality
are still told apart at a ratio of -12 dB; affrication and duration are
"somewhat superior to place but far inferior to voicing and nasality"; place is
hard below +6 dB (at 0 dB, 37 % of its information gets through against 95 % of
voicing's). The figures that stand in between are ours. The balance of height
and backness was chosen so that vowels lie apart as their formants do (Peterson
and Barney 1952, JASA 24:175).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from voicecheck.errors import GrammarError

__all__ = ["PHONES", "is_vowel", "phone_distance", "phone_strength"]

WHOLLY_UNLIKE = 2.0
"""Sum of weighted feature differences from which two consonants share nothing."""

VOICE_WEIGHT = 1.0
NASAL_WEIGHT = 1.0
NOISE_WEIGHT = 0.55
LENGTH_WEIGHT = 0.55
PLACE_WEIGHT = 0.4
OPEN_WEIGHT = 0.8
SIDE_WEIGHT = 0.4

HEIGHT_WEIGHT = 0.65
BACK_WEIGHT = 0.8
RHOTIC_WEIGHT = 0.3
TENSE_WEIGHT = 0.1

GLIDE_DISTANCE = 0.4
"""From a glide or /r/ to the vowel that it is made like."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Consonant:
    place: str
    """lips, teeth, tip, blade, back or throat."""
    voiced: bool = False
    nasal: bool = False
    noise: float = 0.0
    """Friction: 0 none, 0.5 at the end of a stop, 1 throughout."""
    long: float = 0.0
    """Strong, long hiss."""
    open: bool = False
    """Liquids and glides: no closure and no friction."""
    side: float = 0.0
    """How /l/, /r/, /w/ and /y/ differ among each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Vowel:
    start: tuple[float, float]
    """Height (1 close, 0 open) and backness (0 front, 1 back)."""
    end: tuple[float, float] | None = None
    """Where a diphthong glides to."""
    tense: bool = False
    rhotic: bool = False


def _stop(place: str, voiced: bool) -> _Consonant:
    return _Consonant(place=place, voiced=voiced)


def _fricative(place: str, voiced: bool, long: bool = False) -> _Consonant:
    return _Consonant(place=place, voiced=voiced, noise=1.0, long=float(long))


def _glide(place: str, side: float) -> _Consonant:
    return _Consonant(place=place, voiced=True, open=True, side=side)


_CONSONANTS = {
    "P": _stop("lips", False),
    "T": _stop("tip", False),
    "K": _stop("back", False),
    "B": _stop("lips", True),
    "D": _stop("tip", True),
    "G": _stop("back", True),
    "F": _fricative("lips", False),
    "TH": _fricative("teeth", False),
    "S": _fricative("tip", False, long=True),
    "SH": _fricative("blade", False, long=True),
    "V": _fricative("lips", True),
    "DH": _fricative("teeth", True),
    "Z": _fricative("tip", True, long=True),
    "ZH": _fricative("blade", True, long=True),
    "HH": _fricative("throat", False),
    "CH": _Consonant(place="blade", noise=0.5, long=0.5),
    "JH": _Consonant(place="blade", voiced=True, noise=0.5, long=0.5),
    "M": _Consonant(place="lips", voiced=True, nasal=True),
    "N": _Consonant(place="tip", voiced=True, nasal=True),
    "NG": _Consonant(place="back", voiced=True, nasal=True),
    "L": _glide("tip", 0.0),
    "R": _glide("blade", 0.5),
    "W": _glide("lips", 0.5),
    "Y": _glide("blade", 1.0),
}

_HIGH_FRONT, _HIGH_BACK = (0.8, 0.2), (0.8, 0.8)
_LOW = (0.0, 0.65)

_VOWELS = {
    "IY": _Vowel(start=(1.0, 0.0), tense=True),
    "IH": _Vowel(start=_HIGH_FRONT),
    "EH": _Vowel(start=(0.45, 0.2)),
    "AE": _Vowel(start=(0.2, 0.25)),
    "AA": _Vowel(start=_LOW, tense=True),
    "AO": _Vowel(start=(0.3, 1.0), tense=True),
    "AH": _Vowel(start=(0.25, 0.6)),
    "UH": _Vowel(start=_HIGH_BACK),
    "UW": _Vowel(start=(1.0, 0.95), tense=True),
    "ER": _Vowel(start=(0.5, 0.55), tense=True, rhotic=True),
    "EY": _Vowel(start=(0.55, 0.1), end=_HIGH_FRONT, tense=True),
    "AY": _Vowel(start=_LOW, end=_HIGH_FRONT, tense=True),
    "OY": _Vowel(start=(0.3, 1.0), end=_HIGH_FRONT, tense=True),
    "AW": _Vowel(start=_LOW, end=_HIGH_BACK, tense=True),
    "OW": _Vowel(start=(0.45, 0.95), end=_HIGH_BACK, tense=True),
}

PHONES: tuple[str, ...] = (*_CONSONANTS, *_VOWELS)
"""The 39 phones of the CMU dictionary."""

_GLIDES = {
    "W": ("UW", "UH", "OW"),
    "Y": ("IY", "IH"),
    "R": ("ER",),
}

_ORDER = ("lips", "teeth", "tip", "blade", "back")

_POWER = {
    "AO": 680, "AA": 600, "AH": 510, "AE": 490, "OW": 470, "UH": 460, "EY": 370,
    "EH": 350, "UW": 310, "IH": 260, "IY": 220, "ER": 210, "R": 210, "L": 100,
    "SH": 80, "NG": 73, "M": 52, "CH": 42, "N": 36, "JH": 23, "ZH": 20, "Z": 16,
    "S": 16, "T": 15, "G": 15, "K": 13, "V": 12, "DH": 11, "B": 7, "D": 7, "P": 6,
    "F": 5, "TH": 1,
    # not in that table: diphthongs like their louder part, glides like liquids
    "AY": 600, "AW": 600, "OY": 680, "W": 100, "Y": 100, "HH": 1,
}  # fmt: skip
"""Power of each phone relative to the faintest. Source: Fletcher, Speech and
Hearing in Communication (1953), table of phonetic powers, from memory."""

_LEAST_STRENGTH = 0.35
"""Strength of the faintest phone: missing it still counts (our choice)."""


def is_vowel(phone: str) -> bool:
    """Tell vowels from consonants; /er/ is a vowel."""
    _check(phone)
    return phone in _VOWELS


def phone_strength(phone: str) -> float:
    """Return how much a phone stands out of noise, 0.35 … 1.

    The decibels of Fletcher's table, from the faintest to the loudest.

    Raises:
        GrammarError: it is no ARPAbet phone.
    """
    _check(phone)
    share = math.log(_POWER[phone]) / math.log(max(_POWER.values()))
    return _LEAST_STRENGTH + (1 - _LEAST_STRENGTH) * share


def phone_distance(one: str, other: str) -> float:
    """Return how unlike two phones are: 0 the same, 1 nothing in common.

    Raises:
        GrammarError: one of them is no ARPAbet phone.
    """
    _check(one)
    _check(other)
    if one == other:
        return 0.0
    if one in _CONSONANTS and other in _CONSONANTS:
        return _between_consonants(_CONSONANTS[one], _CONSONANTS[other])
    if one in _VOWELS and other in _VOWELS:
        return _between_vowels(_VOWELS[one], _VOWELS[other])
    near = _GLIDES.get(one, ()) + _GLIDES.get(other, ())
    return GLIDE_DISTANCE if one in near or other in near else 1.0


def _between_consonants(one: _Consonant, other: _Consonant) -> float:
    total = (
        VOICE_WEIGHT * (one.voiced != other.voiced)
        + NASAL_WEIGHT * (one.nasal != other.nasal)
        + NOISE_WEIGHT * abs(one.noise - other.noise)
        + LENGTH_WEIGHT * abs(one.long - other.long)
        + OPEN_WEIGHT * (one.open != other.open)
        + SIDE_WEIGHT * abs(one.side - other.side)
        + PLACE_WEIGHT * _between_places(one.place, other.place)
    )
    return min(1.0, total / WHOLLY_UNLIKE)


def _between_places(one: str, other: str) -> float:
    """Neighbours half a step, all else a whole one: noise keeps no order."""
    if one == other:
        return 0.0
    if "throat" in (one, other):
        return 0.5
    apart = abs(_ORDER.index(one) - _ORDER.index(other))
    return 0.5 if apart == 1 else 1.0


def _between_vowels(one: _Vowel, other: _Vowel) -> float:
    pairs = ((one.start, other.start), (one.end or one.start, other.end or other.start))
    height = sum(abs(a[0] - b[0]) for a, b in pairs) / 2
    back = sum(abs(a[1] - b[1]) for a, b in pairs) / 2
    total = (
        HEIGHT_WEIGHT * height
        + BACK_WEIGHT * back
        + RHOTIC_WEIGHT * (one.rhotic != other.rhotic)
        + TENSE_WEIGHT * (one.tense != other.tense)
    )
    return min(1.0, total)


def _check(phone: str) -> None:
    if phone not in _POWER:
        raise GrammarError(
            f"{phone!r} is no phone; use ARPAbet without stress marks, "
            "as in pronunciations.dict"
        )
