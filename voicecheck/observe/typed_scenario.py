"""Planted faults as they are typed, and the TOML file that they make.

left_front_nuts: defect loose major; tag: yellow tag at two o'clock
loader_lines: leak hydraulic_oil III; shown: photograph of a dripping hose
engine_oil_level: level low; shown: a dipstick
left_front_pressure: reading 310; shown: a gauge
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from voicecheck.errors import ObserveError
from voicecheck.observe.scenario import PlantedFault, ReferenceTimes
from voicecheck.record.answer_json import (
    KEYS,
    answer_from_json,
    answer_to_json,
    number,
)
from voicecheck.round.answers import Answer

FORM = "POINT: ANSWER; tag: TEXT  (or shown: TEXT)"


def planted(text: str) -> PlantedFault:
    """Return the fault that a text describes.

    Raises:
        ObserveError: it is not of the form; the text says what is.
    """
    point, colon, rest = text.partition(":")
    answer, semicolon, where = rest.partition(";")
    how, second, shown = where.partition(":")
    if not (colon and semicolon and second) or how.strip() not in ("tag", "shown"):
        raise ObserveError(f"{text!r} is not of the form {FORM}")
    on_a_tag = how.strip() == "tag"
    return PlantedFault(
        checkpoint=point.strip(),
        expected=_answer(answer.split(), text),
        tag=shown.strip() if on_a_tag else "",
        described="" if on_a_tag else shown.strip(),
    )


def scenario_toml(
    title: str,
    checklist: str,
    faults: Sequence[PlantedFault],
    reference: ReferenceTimes | None = None,
    left_out: Sequence[str] = (),
) -> str:
    """Return the text of a scenario file."""
    lines = [
        "# What is planted for an observed walk. Check it with `voicecheck observe",
        "# plan FILE`, then close it with `voicecheck observe seal FILE`.",
        "# Further keys of a fault: also_at = [...], points where calling it counts",
        "# too; critical = true, missing it fails at once whatever the rules say.",
        "",
        "format = 1",
        f"title = {_text(title)}",
        f"checklist = {_text(checklist)}",
        "known_faults = []  # points where something is really wrong today",
        f"left_out = [{', '.join(_text(one) for one in left_out)}]"
        "  # points that are not walked today",
    ]
    if reference is not None:
        lines += ["", "[reference]", f"source = {_text(reference.source)}"]
        zones = (f"{zone} = {s:.1f}" for zone, s in reference.zones.items())
        lines.append(f"zones = {{ {', '.join(zones)} }}")
    for fault in faults:
        lines += ["", "[[planted]]", f"checkpoint = {_text(fault.checkpoint)}"]
        lines.append(f"expected = {_inline(answer_to_json(fault.expected))}")
        key, shown = ("tag", fault.tag) if fault.tag else ("described", fault.described)
        lines.append(f"{key} = {_text(shown)}")
        if fault.also_at:
            points = ", ".join(_text(one) for one in fault.also_at)
            lines.append(f"also_at = [{points}]")
        if fault.critical:
            lines.append("critical = true")
    return "\n".join(lines) + "\n"


def _answer(words: list[str], text: str) -> Answer:
    name, rest = (words[0], words[1:]) if words else ("", [])
    keys = KEYS.get(name, ())
    if not keys or len(keys) != len(rest):
        raise ObserveError(
            f"{text!r}: the answer is one of: defect FAULT SEVERITY, leak FLUID CLASS, "
            "level LEVEL, reading NUMBER"
        )
    data: dict[str, Any] = {"answer": name, **dict(zip(keys, rest, strict=True))}
    try:
        if name == "reading":
            data["value"] = number(float(data["value"]))
        return answer_from_json(data)
    except ValueError as error:
        raise ObserveError(f"{text!r}: {error}") from error


def _inline(data: Mapping[str, Any]) -> str:
    pairs = (f"{k} = {_text(v) if isinstance(v, str) else v}" for k, v in data.items())
    return f"{{ {', '.join(pairs)} }}"


def _text(text: str) -> str:
    """Write a string for TOML: JSON's escapes are among those of TOML."""
    return json.dumps(text, ensure_ascii=False)
