"""A short walk with every kind of answer, cut out of the shipped wheel loader.

For walks in real time, where the whole one takes ten minutes. Texts and limits
stay those of the shipped checklist:

    python -m voicecheck.testing.short_walk >short-walk.toml
    voicecheck demo --checklist short-walk.toml
"""

from __future__ import annotations

import re

from voicecheck.checklists.files import find

POINTS = (
    "protective_gear",
    "cab_empty",
    "left_front_pressure",
    "bucket_welds",
    "bucket_teeth",
    "loader_cylinders",
    "engine_oil_level",
    "fan_guard",
    "left_steps",
    "hydraulic_tank",
    "ground_after_run",
)
"""Checkpoints of the short walk, in walking order, with one climb up and down."""


def short_walk() -> str:
    """Return the checklist file, TOML."""
    text = find("wheel-loader").read_text(encoding="utf-8")
    head, *zones = text.split("[[zones]]\n")
    kept = [short for zone in zones if (short := _shorten(zone))]
    head = head.replace('name = "wheel-loader"', 'name = "short-walk"', 1)
    return head + "".join(f"[[zones]]\n{zone}" for zone in _rejoin(kept))


def _shorten(zone: str) -> str:
    """Leave the points out that are not wanted; nothing left: the zone too."""
    head, *points = zone.split("[[zones.checkpoints]]\n")
    wanted = [p for p in points if _value(p, "id") in POINTS]
    if not wanted:
        return ""
    return head + "".join(f"[[zones.checkpoints]]\n{point}" for point in wanted)


def _rejoin(zones: list[str]) -> list[str]:
    """Begin each zone where the one before ends, and close the way round."""
    joined: list[str] = []
    here = _value(zones[0], "from_station")
    for zone in zones[:-1]:
        joined.append(_starting(zone, here))
        here = _value(zone, "to_station")
    joined.append(_starting(zones[-1], here))
    return joined


def _starting(zone: str, station: str) -> str:
    line = f'from_station = "{station}"'
    return re.sub(r'^from_station = ".*"', line, zone, count=1, flags=re.MULTILINE)


def _value(text: str, key: str) -> str:
    found = re.search(rf'^{key} = "(.*)"', text, re.MULTILINE)
    if found is None:
        raise ValueError(f"a zone or checkpoint without {key}: {text[:80]!r}")
    return found[1]


if __name__ == "__main__":
    print(short_walk(), end="")
