"""Answers, limits and times of a record in words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from voicecheck.report.labels_file import Labels


def answer_words(data: Mapping[str, Any], words: Mapping[str, Any], at: Labels) -> str:
    """Return an answer in words.

    Args:
        data: the answer as in the record, with its unit for a reading.
        words: the part `words` of the record.
        at: the labels of the page.
    """
    name = data["answer"]
    match name:
        case "defect":
            fault, severity = at["fault"], at["severity"]
            parts = [fault[data["fault"]], severity[data["severity"]]]
        case "leak":
            fluid = words["fluids"].get(data["fluid"], data["fluid"])
            parts = [fluid, at["leak_class"][data["leak_class"]]]
        case "could_not_check":
            parts = [at["reason"][data["reason"]]]
        case "level":
            return at["level"][data["level"]]
        case "reading":
            return f"{number_words(data['value'])} {data.get('unit', '')}".strip()
        case _:
            return at["answer"][name]
    return f"{at['answer'][name]}: {', '.join(parts)}"


def number_words(value: float) -> str:
    """Return a number with all its digits and no needless zeros."""
    return repr(float(value)).removesuffix(".0")


def limits_words(limits: Mapping[str, Any] | None, at: Labels) -> str:
    """Return the limits of a reading in words; empty when it has none."""
    if limits is None:
        return ""
    words, unit = at["limit"], limits["unit"]
    usual = [
        f"{words[word]} {number_words(limits[key])}"
        for word, key in (("from", "low"), ("to", "high"))
        if limits[key] is not None
    ]
    far = [
        f"{words[word]} {number_words(limits[key])}"
        for word, key in (("below", "far_low"), ("above", "far_high"))
        if limits[key] is not None
    ]
    parts = [f"{' '.join(usual)} {unit}"] if usual else []
    if far:
        parts.append(f"{words['far']}: {', '.join(far)} {unit}")
    return "; ".join(parts)


def time_words(at_utc: str, at: Labels, *, local_time: bool) -> str:
    """Return a time in UTC to the second, and in the time of this computer."""
    moment = datetime.fromisoformat(at_utc)
    text = f"{moment:%Y-%m-%d %H:%M:%S} UTC"
    here = moment.astimezone()
    if not local_time or not here.utcoffset():
        return text
    return f"{text} ({at['page']['local']} {here:%Y-%m-%d %H:%M} {here:%z})"


def clock_words(at_utc: str) -> str:
    """Return the time of day in UTC."""
    return f"{datetime.fromisoformat(at_utc):%H:%M:%S}"


def duration_words(seconds: float) -> str:
    """Return a duration as hours, minutes and seconds: 1 h 02 min 05 s."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes:02} min {rest:02} s"
    if minutes:
        return f"{minutes} min {rest:02} s"
    return f"{rest} s"


def share_words(value: float | None) -> str:
    """Return a confidence as it stands in the record, or nothing."""
    return "" if value is None else f"{value:.2f}"


def measure_words(value: float | None, unit: str) -> str:
    """Return a number with one decimal and its unit, or nothing."""
    return "" if value is None else f"{value:.1f} {unit}"
