"""What a page shows, worked out from a record."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from voicecheck.report.labels_file import Labels
from voicecheck.report.plan import Mark, marks
from voicecheck.report.wording import answer_words, limits_words, number_words

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleView:
    """A rule in words, with where it comes from."""

    text: str
    source: str
    outcome: str
    """The outcome's name, for its look and its label."""
    where: str
    """The checkpoint in words; empty when it is about the whole walk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """A finding in words."""

    number: int
    zone: str
    point: str
    what: str
    limits: str
    severity: str
    outcome: str
    rules: tuple[RuleView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingView:
    """A reading in words, against its limits."""

    point: str
    value: str
    state: str
    """The state's name."""
    limits: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerView:
    """An answer in words."""

    point: str
    answer: str
    finding: int | None
    """Number of the finding it makes."""
    too_fast: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneView:
    """All answers of one zone."""

    title: str
    answers: tuple[AnswerView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """All lists of a page."""

    reasons: tuple[RuleView, ...]
    findings: tuple[FindingView, ...]
    marks: tuple[Mark, ...]
    readings: tuple[ReadingView, ...]
    zones: tuple[ZoneView, ...]
    too_fast: int
    """How many standing answers came faster than one can look."""


def view(document: Data, at: Labels) -> View:
    """Return what the page of a record shows.

    Args:
        document: a record that follows its schema.
        at: the labels of the page.
    """
    findings = _findings(document, at)
    zones = _zones(document, at)
    return View(
        reasons=_reasons(document),
        findings=findings,
        marks=_marks(document),
        readings=_readings(document, at),
        zones=zones,
        too_fast=sum(answer.too_fast for zone in zones for answer in zone.answers),
    )


def prompt(document: Data, checkpoint: str | None) -> str:
    """Return a checkpoint in words; its id when the record has no words for it."""
    if checkpoint is None:
        return ""
    found: str = document["words"]["prompts"].get(checkpoint, checkpoint)
    return found


def zone_title(document: Data, zone: str | None) -> str:
    """Return a zone in words; its id when the record has no words for it."""
    titles = {entry["zone"]: entry["title"] for entry in document["words"]["zones"]}
    return "" if zone is None else str(titles.get(zone, zone))


def _rule(document: Data, hit: Data) -> RuleView:
    words = document["words"]["rules"]
    return RuleView(
        text=words.get(hit["rule"], hit["rule"]),
        source=hit["source"],
        outcome=hit["outcome"],
        where=prompt(document, hit["checkpoint"]),
    )


def _reasons(document: Data) -> tuple[RuleView, ...]:
    """The rules that say what was decided, without those that say less."""
    decision = document["content"]["decision"]
    return tuple(
        _rule(document, hit)
        for hit in decision["rules"]
        if hit["outcome"] == decision["outcome"]
    )


def _findings(document: Data, at: Labels) -> tuple[FindingView, ...]:
    content, words = document["content"], document["words"]
    titles = {zone["zone"]: zone["title"] for zone in words["zones"]}
    hits = content["decision"]["rules"]
    return tuple(
        FindingView(
            number=number,
            zone=titles.get(finding["zone"], finding["zone"]),
            point=prompt(document, finding["checkpoint"]),
            what=_what(finding, document, at),
            limits=limits_words(words["limits"].get(finding["checkpoint"]), at)
            if finding["kind"] == "reading"
            else "",
            severity=finding["severity"],
            outcome=finding["outcome"],
            rules=tuple(
                _rule(document, hit)
                for hit in hits
                if hit["checkpoint"] == finding["checkpoint"]
            ),
        )
        for number, finding in enumerate(content["findings"], start=1)
    )


def _what(finding: Data, document: Data, at: Labels) -> str:
    text = answer_words(finding, document["words"], at)
    if finding["kind"] == "reading":
        state = _states(document).get(finding["checkpoint"], "in_limits")
        return f"{text}, {at['state'][state]}"
    return text


def _states(document: Data) -> dict[str, str]:
    readings = document["content"]["readings"]
    return {reading["checkpoint"]: reading["state"] for reading in readings}


def _marks(document: Data) -> tuple[Mark, ...]:
    places = {zone["zone"]: zone for zone in document["words"]["zones"]}
    return marks(
        [
            (
                number,
                places[finding["zone"]]["plan_x"],
                places[finding["zone"]]["plan_y"],
                finding["outcome"] == "out_of_service",
            )
            for number, finding in enumerate(document["content"]["findings"], start=1)
            if finding["zone"] in places
        ]
    )


def _readings(document: Data, at: Labels) -> tuple[ReadingView, ...]:
    limits = document["words"]["limits"]
    return tuple(
        ReadingView(
            point=prompt(document, reading["checkpoint"]),
            value=f"{number_words(reading['value'])} {reading['unit']}",
            state=reading["state"],
            limits=limits_words(limits.get(reading["checkpoint"]), at),
            source=limits.get(reading["checkpoint"], {}).get("source", ""),
        )
        for reading in document["content"]["readings"]
    )


def _zones(document: Data, at: Labels) -> tuple[ZoneView, ...]:
    content, words = document["content"], document["words"]
    numbers = {
        finding["checkpoint"]: number
        for number, finding in enumerate(content["findings"], start=1)
    }
    fast = {
        entry["checkpoint"]
        for entry in document["how"]
        if entry["too_fast"] and not entry["withdrawn"]
    }
    counts = Counter(answer["zone"] for answer in content["answers"])
    return tuple(
        ZoneView(
            title=zone["title"],
            answers=tuple(
                AnswerView(
                    point=prompt(document, answer["checkpoint"]),
                    answer=answer_words(answer, words, at),
                    finding=numbers.get(answer["checkpoint"]),
                    too_fast=answer["checkpoint"] in fast,
                )
                for answer in content["answers"]
                if answer["zone"] == zone["zone"]
            ),
        )
        for zone in words["zones"]
        if counts[zone["zone"]]
    )
