"""Read a protector's data from a few lines of text or a mapping.

    name: yard ear defender
    mean: 13 20 33 35 38 47 41        seven values from 125 Hz, eight from 63 Hz
    sd:   6 6 6 6 7 8 8
    H: 30, M: 24, L: 22
    SNR: 28
    NRR: 25

Entries are separated by lines, commas or semicolons and may come in any order;
values of one list by spaces. A hash starts a comment. Nothing else is allowed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import TypeAlias

from voicecheck.hearing.errors import ProtectorDataError
from voicecheck.hearing.protector import (
    DEFAULT_NAME,
    HmlRating,
    OctaveAttenuation,
    Protector,
)

__all__ = ["ProtectorEntry", "parse_protector", "protector_from_mapping"]

ProtectorEntry: TypeAlias = str | float | Sequence[float]

_KEYS = ("name", "mean", "sd", "h", "m", "l", "snr", "nrr")
_EXPECTED_KEYS = "name, mean, sd, H, M, L, SNR or NRR"
_ENTRY = re.compile(r"\s*([A-Za-z]+)\s*[:=]?\s*(.*?)\s*", re.DOTALL)


def parse_protector(text: str) -> Protector:
    """Return the protector that a few lines of text describe.

    Raises:
        ProtectorDataError: an entry is unknown, twice there, no number, or
            belongs to a pair or triple of which the rest is missing.
    """
    entries: dict[str, ProtectorEntry] = {}
    for line in text.splitlines():
        for part in re.split(r"[,;]", line.split("#", maxsplit=1)[0]):
            if part.strip():
                key, value = _entry(part)
                if key in entries:
                    raise ProtectorDataError(
                        part.strip(), "the entry twice", "each entry once"
                    )
                entries[key] = value
    return protector_from_mapping(entries)


def protector_from_mapping(entries: Mapping[str, ProtectorEntry]) -> Protector:
    """Return the protector that a mapping describes; keys as in the text form.

    Raises:
        ProtectorDataError: as `parse_protector`.
    """
    known: dict[str, ProtectorEntry] = {}
    for key, value in entries.items():
        if key.lower() not in _KEYS:
            raise ProtectorDataError("entry", repr(key), _EXPECTED_KEYS)
        known[key.lower()] = value
    return Protector(
        name=str(known.get("name") or DEFAULT_NAME),
        octave=_octave(known),
        hml=_hml(known),
        snr_db=_number(known, "snr"),
        nrr_db=_number(known, "nrr"),
    )


def _entry(part: str) -> tuple[str, str]:
    match = _ENTRY.fullmatch(part)
    key = match.group(1).lower() if match else ""
    if match is None or key not in _KEYS:
        raise ProtectorDataError("entry", repr(part.strip()), _EXPECTED_KEYS)
    return key, match.group(2)


def _octave(entries: Mapping[str, ProtectorEntry]) -> OctaveAttenuation | None:
    if not _complete(entries, ("mean", "sd")):
        return None
    return OctaveAttenuation(
        mean_db=_numbers(entries, "mean"), deviation_db=_numbers(entries, "sd")
    )


def _hml(entries: Mapping[str, ProtectorEntry]) -> HmlRating | None:
    if not _complete(entries, ("h", "m", "l")):
        return None
    high, medium, low = (_single(entries[key], key.upper()) for key in ("h", "m", "l"))
    return HmlRating(high_db=high, medium_db=medium, low_db=low)


def _complete(entries: Mapping[str, ProtectorEntry], keys: tuple[str, ...]) -> bool:
    missing = [key for key in keys if key not in entries]
    if missing and len(missing) < len(keys):
        given = [key for key in keys if key in entries]
        raise ProtectorDataError(
            ", ".join(_label(key) for key in missing),
            "nothing",
            f"it too, since {', '.join(_label(key) for key in given)} is there",
        )
    return not missing


def _label(key: str) -> str:
    return key if key in ("mean", "sd") else key.upper()


def _number(entries: Mapping[str, ProtectorEntry], key: str) -> float | None:
    return _single(entries[key], key.upper()) if key in entries else None


def _single(value: ProtectorEntry, place: str) -> float:
    numbers = _as_numbers(value, place)
    if len(numbers) != 1:
        raise ProtectorDataError(place, f"{len(numbers)} values", "one number")
    return numbers[0]


def _numbers(entries: Mapping[str, ProtectorEntry], key: str) -> tuple[float, ...]:
    return _as_numbers(entries[key], key)


def _as_numbers(value: ProtectorEntry, place: str) -> tuple[float, ...]:
    words: Sequence[str | float]
    if isinstance(value, str):
        words = value.replace("dB", " ").split()
    elif isinstance(value, int | float):
        words = (value,)
    else:
        words = value
    try:
        numbers = tuple(float(word) for word in words)
    except (TypeError, ValueError) as error:
        raise ProtectorDataError(place, repr(value), "plain numbers") from error
    if any(math.isnan(number) for number in numbers):
        raise ProtectorDataError(place, repr(value), "plain numbers")
    return numbers
