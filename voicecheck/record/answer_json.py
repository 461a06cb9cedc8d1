"""Answers as JSON objects and back: the only place that knows their shape.

    {"answer": "good"}
    {"answer": "defect", "fault": "cracked", "severity": "major"}
    {"answer": "leak", "fluid": "engine_oil", "leak_class": "II"}
    {"answer": "could_not_check", "reason": "too_dark"}
    {"answer": "level", "level": "low"}
    {"answer": "reading", "value": 4527.3}

also "yes", "no" and "not_fitted", which stand alone like "good".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Any, TypeVar

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
    Yes,
)
from voicecheck.round.record import answer_data

_Choice = TypeVar("_Choice", bound=StrEnum)

KEYS: dict[str, tuple[str, ...]] = {
    "yes": (),
    "no": (),
    "good": (),
    "not_fitted": (),
    "defect": ("fault", "severity"),
    "leak": ("fluid", "leak_class"),
    "could_not_check": ("reason",),
    "level": ("level",),
    "reading": ("value",),
}
"""Every answer's name with the keys that belong to it."""


def answer_to_json(answer: Answer) -> dict[str, Any]:
    """Return an answer as a JSON object.

    Raises:
        ValueError: a reading with more digits than a JSON number keeps.
    """
    data = answer_data(answer)
    if isinstance(answer, ReadingTaken) and number(data["value"]) != answer.value:
        raise ValueError(
            f"{answer.value} has more digits than a number in JSON keeps; round it"
        )
    return data


def answer_from_json(data: object) -> Answer:
    """Return the answer that a JSON object stands for.

    Raises:
        ValueError: a key is missing or unknown, or a value is not one of those
            possible; the text says what was expected.
    """
    if not isinstance(data, Mapping):
        raise ValueError(f'expected an object like {{"answer": "good"}}, not {data!r}')
    name = data.get("answer")
    if not isinstance(name, str) or name not in KEYS:
        raise ValueError(f'"answer" must be one of {", ".join(KEYS)}, not {name!r}')
    expected = {"answer", *KEYS[name]}
    if missing := expected - set(data):
        raise ValueError(f'"{name}" needs {_listed(missing)}')
    if unknown := set(data) - expected:
        raise ValueError(f'"{name}" does not take {_listed(unknown)}')
    return _BUILD[name](data)


def number(value: object) -> Decimal:
    """Return a JSON number as a decimal, with the digits that were written.

    Raises:
        ValueError: not a finite number.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise ValueError(f"expected a number, not {value!r}")
    decimal = Decimal(str(value))
    if not decimal.is_finite():
        raise ValueError(f"expected a number, not {value!r}")
    return decimal


def choice(kind: type[_Choice], value: object, key: str) -> _Choice:
    """Return the member of a closed set.

    Raises:
        ValueError: it is none of them; the text lists them.
    """
    if isinstance(value, str) and value in list(kind):
        return kind(value)
    raise ValueError(f'"{key}" must be one of {", ".join(kind)}, not {value!r}')


def _fluid(value: object) -> str:
    if isinstance(value, str) and value:
        return value
    raise ValueError(f'"fluid" must be the id of a fluid, not {value!r}')


def _listed(keys: set[str]) -> str:
    return ", ".join(f'"{key}"' for key in sorted(keys))


_BUILD: dict[str, Callable[[Mapping[str, Any]], Answer]] = {
    "yes": lambda _: Yes(),
    "no": lambda _: No(),
    "good": lambda _: Good(),
    "not_fitted": lambda _: NotFitted(),
    "defect": lambda data: Defect(
        fault=choice(Fault, data["fault"], "fault"),
        severity=choice(Severity, data["severity"], "severity"),
    ),
    "leak": lambda data: Leak(
        fluid=_fluid(data["fluid"]),
        leak_class=choice(LeakClass, data["leak_class"], "leak_class"),
    ),
    "could_not_check": lambda data: CouldNotCheck(
        reason=choice(Reason, data["reason"], "reason")
    ),
    "level": lambda data: LevelSeen(level=choice(Level, data["level"], "level")),
    "reading": lambda data: ReadingTaken(value=number(data["value"])),
}
