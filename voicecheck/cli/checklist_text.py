"""A checklist as text for people and as data for programs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from voicecheck.checklists.coverage import UnfitAnswer, unfit_answers
from voicecheck.dialogue.wording import Wording
from voicecheck.record.answer_json import answer_to_json
from voicecheck.round.answers import Answer, CouldNotCheck, Defect, ReadingTaken
from voicecheck.round.checklist import Checklist, Checkpoint, Outcome, ReadingSpec, Zone

_WIDTH = 88


def checklist_lines(checklist: Checklist) -> Iterator[str]:
    """Yield the lines of a checklist, zone by zone, then its rules."""
    wording = Wording(checklist, checklist.language)
    points = len(checklist.checkpoints)
    yield f"{checklist.title} ({checklist.name} {checklist.version})"
    yield f"For: {checklist.machine}"
    yield f"{points} points in {len(checklist.zones)} zones"
    yield f"SHA-256: {checklist.sha256}"
    yield ""
    for caution in checklist.cautions:
        yield f"  ! {caution}"
    for zone in checklist.zones:
        yield ""
        yield f"-- {zone.title} ({zone.place}) --"
        for point in zone.checkpoints:
            yield from _point_lines(checklist, point, wording)
    yield ""
    yield "Rules (any one that applies; the worst decides):"
    for rule in checklist.rules:
        text = f"{rule.id}: {rule.outcome}: {rule.text} [{rule.source}]"
        yield from _wrapped(text, "  ", "      ")


def checklist_data(checklist: Checklist) -> dict[str, Any]:
    """Return a checklist as JSON data."""
    return {
        "name": checklist.name,
        "version": checklist.version,
        "title": checklist.title,
        "machine": checklist.machine,
        "language": checklist.language,
        "sha256": checklist.sha256,
        "cautions": list(checklist.cautions),
        "declaration": checklist.declaration,
        "fluids": [{"id": f.id, "name": f.name} for f in checklist.fluids],
        "zones": [_zone_data(checklist, zone) for zone in checklist.zones],
        "rules": [
            {"id": r.id, "outcome": r.outcome.value, "text": r.text, "source": r.source}
            for r in checklist.rules
        ],
    }


def _point_lines(
    checklist: Checklist, point: Checkpoint, wording: Wording
) -> Iterator[str]:
    absent = ", may be absent" if point.may_be_absent else ""
    reading = f", {_range(point.reading)}" if point.reading else ""
    yield f"  {point.id} ({point.kind}{reading}{absent}): {point.prompt}"
    for hazard in point.hazards:
        yield f"      ! {hazard}"
    by_rules: dict[tuple[str, ...], list[str]] = {}
    for unfit in unfit_answers(checklist, point):
        if unfit.outcome is Outcome.OUT_OF_SERVICE:
            words = _words(point, unfit.answer, wording)
            by_rules.setdefault(unfit.rule_ids, []).append(words)
    for rules, answers in by_rules.items():
        text = f"unfit: {'; '.join(answers)} [{', '.join(rules)}]"
        yield from _wrapped(text, "      ", "        ")


def _words(point: Checkpoint, answer: Answer, wording: Wording) -> str:
    """Say an answer; no rule asks for the fault or the reason, so neither stands."""
    match answer:
        case ReadingTaken() if point.reading is not None:
            return f"{answer.value} {point.reading.unit}"
        case Defect():
            severity = wording.word("severity", answer.severity)
            return f"{wording.word('part', 'defect')}, {severity}"
        case CouldNotCheck():
            return wording.word("part", "could_not_check")
    return wording.answer(point, answer)


def _range(spec: ReadingSpec) -> str:
    return f"{spec.plausible_min} to {spec.plausible_max} {spec.unit}"


def _wrapped(text: str, first: str, then: str) -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=then,
        break_on_hyphens=False,
    )


def _zone_data(checklist: Checklist, zone: Zone) -> dict[str, Any]:
    return {
        "id": zone.id,
        "title": zone.title,
        "place": zone.place.value,
        "climb_caution": zone.climb_caution,
        "checkpoints": [
            {
                "id": point.id,
                "kind": point.kind.value,
                "prompt": point.prompt,
                "look": point.look,
                "wrong": point.wrong,
                "why": point.why,
                "hazards": list(point.hazards),
                "tags": list(point.tags),
                "may_be_absent": point.may_be_absent,
                "reading": _reading_data(point.reading),
                "bad_answers": [
                    _unfit_data(u) for u in unfit_answers(checklist, point)
                ],
            }
            for point in zone.checkpoints
        ],
    }


def _reading_data(spec: ReadingSpec | None) -> dict[str, Any] | None:
    if spec is None:
        return None
    limits = ("plausible_min", "plausible_max", "far_low", "low", "high", "far_high")
    numbers = {name: getattr(spec, name) for name in limits}
    return {
        "quantity": spec.quantity,
        "unit": spec.unit,
        **{
            name: None if value is None else float(value)
            for name, value in numbers.items()
        },
        "decimals": spec.decimals,
        "limits_source": spec.limits_source,
    }


def _unfit_data(unfit: UnfitAnswer) -> dict[str, Any]:
    answer = answer_to_json(unfit.answer)
    any_of = {"fault", "reason"}  # no rule asks for them
    return {
        **{key: value for key, value in answer.items() if key not in any_of},
        "outcome": unfit.outcome.value,
        "rules": list(unfit.rule_ids),
    }
