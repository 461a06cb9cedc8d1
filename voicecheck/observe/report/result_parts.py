"""The result of an observation as parts: decision first, method last."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.decision import CriterionResult, CriticalResult, Decided
from voicecheck.observe.faults import FaultResult
from voicecheck.observe.keeping import started
from voicecheck.observe.report import closing_parts, figures_parts
from voicecheck.observe.report.parts import (
    Facts,
    Heading,
    Part,
    Report,
    Sentence,
    Strong,
    Table,
    Verdict,
)
from voicecheck.observe.report.words import Words, number, share
from voicecheck.observe.result import Result

_COUNTS = {"unsafe_acts"}
_TAUS = {"order"}


def result_report(result: Result, decided: Decided, words: Words) -> Report:
    """Return the whole report of one observation."""
    begun, seen = started(result.observation), result.observation
    stamps = [begun.at_utc, *(one.at_utc for one in (*seen.appeals, *seen.signatures))]
    if seen.ended is not None:
        stamps.append(seen.ended.at_utc)
    return Report(
        title=f"{words.say('title', 'result')}: {begun.trainee}, {begun.unit}",
        parts=tuple(_parts(result, decided, words)),
        language=words.language,
        made_utc=max(stamps),
    )


def _parts(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    yield _verdict(result, decided, words)
    yield _facts(result, words)
    yield from _at_once(decided, words)
    yield from _criteria(decided, words)
    yield from _planted(result, words)
    yield from figures_parts.figures(result, decided, words)
    yield from closing_parts.closing(result, decided, words)
    certainty = share(result.criteria.certainty)
    yield Heading(text=words.say("sections", "method"))
    yield Sentence(text=words.say("text", "method", certainty=certainty), soft=True)
    sources = [
        f"{critical_title(one, words)}: {one.point.source}." for one in decided.critical
    ]
    sources += [
        f"{words.say('measure', one.criterion.measure)}: {one.criterion.source}."
        for one in decided.measures
    ]
    yield Sentence(text=" ".join(sources), soft=True)
    yield Sentence(text=words.say("text", "one_walk"), soft=True)
    yield Sentence(text=words.say("text", "first"), soft=True)


def critical_title(one: CriticalResult, words: Words) -> str:
    """Return what fails at once, in words; a site brings its own."""
    return words.texts["critical"].get(one.point.id) or one.point.text


def places(where: tuple[str, ...], words: Words) -> str:
    """Return points in words, and leave times and notes as they are."""
    return "; ".join(words.point(one) for one in where)


def _verdict(result: Result, decided: Decided, words: Words) -> Verdict:
    reasons = [
        f"{critical_title(one, words)}: {places(one.where, words)}"
        for one in decided.failed_at_once
    ]
    for one in decided.measures:
        if one.standing == "met":
            continue
        name = words.say("measure", one.criterion.measure)
        standing = words.say("short", one.standing)
        reasons.append(
            f"{name}: {standing} ({_value(one, words)}; {_bound(one, words)})"
        )
    reasons += [
        f"{critical_title(one, words)}: "
        + words.say("text", "unknown", points=places(one.unknown, words))
        for one in decided.critical
        if one.unknown and not one.happened
    ]
    if decided.seal != "holds":
        reasons.append(words.say("seal", decided.seal))
    ended = result.observation.ended
    if ended and ended.reason:
        reasons.append(f"{words.say('facts', 'broken_off')}: {ended.reason}")
    return Verdict(
        standing=decided.standing,
        word=words.say("standing", decided.standing),
        text=words.say("standing_text", decided.standing),
        reasons=tuple(reasons),
    )


def _facts(result: Result, words: Words) -> Facts:
    begun, seen = started(result.observation), result.observation
    say = words.say
    rows = [
        (say("facts", "trainee"), begun.trainee),
        (say("facts", "assessor"), begun.by),
        (say("facts", "unit"), begun.unit),
        (say("facts", "when"), words.moment(begun.at_utc)),
    ]
    if seen.ended is not None:
        rows.append((say("facts", "ended"), words.moment(seen.ended.at_utc)))
    version = f"{begun.checklist} {begun.checklist_version}"
    rows += [
        (say("facts", "checklist"), f"{words.checklist.title} ({version})"),
        (say("facts", "scenario"), result.scenario.title),
        (say("facts", "criteria"), result.criteria.name),
        (say("facts", "basis"), say("basis", result.walked.basis)),
    ]
    return Facts(rows=tuple(rows))


def _at_once(decided: Decided, words: Words) -> Iterator[Part]:
    say = words.say
    yield Heading(text=say("sections", "at_once"))
    rows = []
    for one in decided.critical:
        found = say("text", "no")
        if one.happened:
            found = Strong(f"{say('text', 'yes')}: {places(one.where, words)}")
        elif one.unknown:
            found = say("text", "unknown", points=places(one.unknown, words))
        rows.append((critical_title(one, words), found))
    yield Table(head=(), rows=tuple(rows), widths=(105, 75))


def _criteria(decided: Decided, words: Words) -> Iterator[Part]:
    say = words.say
    yield Heading(text=say("sections", "criteria"))
    rows = []
    for one in decided.measures:
        standing = say("short", one.standing)
        if one.standing == "met" and one.sure is False:
            standing = say("text", "not_sure")
        rows.append(
            (
                say("measure", one.criterion.measure),
                _bound(one, words),
                _value(one, words),
                _interval(one, words),
                standing if one.standing == "met" else Strong(standing),
            )
        )
    columns = ("criterion", "wanted", "found", "interval", "standing")
    yield Table(
        head=tuple(say("columns", c) for c in columns),
        rows=tuple(rows),
        widths=(58, 30, 27, 30, 35),
    )


def _bound(one: CriterionResult, words: Words) -> str:
    kind, bound = "at_least", one.criterion.at_least
    if bound is None:
        kind, bound = "at_most", one.criterion.at_most
    return words.say("text", kind, bound=_figure(one, bound))


def _value(one: CriterionResult, words: Words) -> str:
    if one.value is None or one.interval is None:
        return _figure(one, one.value)
    count = round(one.value * one.trials)
    return words.say("text", "of", count=count, of=one.trials)


def _interval(one: CriterionResult, words: Words) -> str:
    if one.interval is None:
        return "–"
    low, high = share(one.interval.low), share(one.interval.high)
    return words.say("text", "interval", low=low, high=high)


def _figure(one: CriterionResult, value: float | None) -> str:
    if one.criterion.measure in _COUNTS:
        return "–" if value is None else f"{value:.0f}"
    return number(value) if one.criterion.measure in _TAUS else share(value)


def _planted(result: Result, words: Words) -> Iterator[Part]:
    say = words.say
    yield Heading(text=f"{say('sections', 'planted')} ({len(result.faults)})")
    columns = ("point", "planted", "called", "severity", "looked")
    yield Table(
        head=tuple(say("columns", c) for c in columns),
        rows=tuple(_fault(fault, words) for fault in result.faults),
        widths=(52, 42, 38, 22, 26),
    )


def _fault(fault: FaultResult, words: Words) -> tuple[str, ...]:
    where = fault.fault.checkpoint
    severity = words.severity(fault.severity)
    if fault.critical:
        severity = Strong(f"{severity}\n{words.say('text', 'critical')}")
    shown = fault.fault.tag or fault.fault.described
    return (
        words.point(where),
        f"{words.answer(fault.fault.expected, where)}\n{shown}",
        _called(fault, words),
        severity,
        words.say("look", fault.look),
    )


def _called(fault: FaultResult, words: Words) -> str:
    where = fault.found_at
    if where is None:
        said = words.answer(fault.said, fault.fault.checkpoint) if fault.said else ""
        missed = words.say("text", "missed")
        return Strong(f"{missed} ({said})" if said else missed)
    lines = []
    if fault.said is not None:
        lines.append(words.answer(fault.said, where))
    elif fault.said_severity is not None:
        lines.append(words.severity(fault.said_severity))
    else:
        lines.append(words.say("text", "no_severity"))
    if fault.right_class is False:
        lines.append(words.say("text", "wrong_class"))
    if where != fault.fault.checkpoint:
        lines.append(words.say("text", "found_at", point=words.point(where)))
    return "\n".join(lines)
