"""The figures of a result as parts, each with its interval and what it hides."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.decision import Decided
from voicecheck.observe.report.parts import (
    Bullets,
    Heading,
    Part,
    Sentence,
    Strong,
    Table,
)
from voicecheck.observe.report.words import Words, number, share
from voicecheck.observe.result import Result
from voicecheck.observe.times import ReferenceKind
from voicecheck.observe.walked import Look
from voicecheck.statistics.agreement import Kappa
from voicecheck.statistics.proportions import Shown

_MOST_STEPS = 12


def figures(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    """Return every figure of a result."""
    yield from _detection(result, decided, words)
    yield from _unsafe(result, words)
    yield from _coverage(result, words)
    yield from _order(result, words)
    yield from _times(result, words)
    yield from _severity(result, words)


def kappa_values(kappa: Kappa, words: Words) -> dict[str, str] | None:
    """Return the figures of a kappa for a text; None: it cannot be told."""
    if kappa.value is None or kappa.word is None or kappa.interval is None:
        return None
    return {
        "value": number(kappa.value),
        "low": number(kappa.interval.low),
        "high": number(kappa.interval.high),
        "word": words.say("agreement", kappa.word),
        "observed": share(kappa.observed),
        "count": str(kappa.count),
    }


def misses_words(result: Result, decided: Decided, words: Words) -> list[str]:
    """Say whether the planted faults tell enough, and how many would."""
    misses, certainty = result.misses, share(result.criteria.certainty)
    kind = {
        Shown.WITHIN: "within",
        Shown.BEYOND: "beyond",
        Shown.TOO_FEW: "too_few",
    }[misses.shown]
    said = [
        words.say(
            "text",
            kind,
            missed=misses.missed,
            planted=misses.planted,
            certainty=certainty,
            at_most=share(misses.at_most),
            at_least=share(misses.at_least),
            allowed=share(misses.allowed_share),
            needed=misses.needed,
        )
    ]
    said += [
        words.say("text", "needed", needed=one.needed, certainty=certainty)
        for one in decided.measures
        if one.needed is not None and one.needed > one.trials
    ]
    return said


def _detection(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    say, found = words.say, result.detection
    yield Heading(text=say("sections", "detection"))
    for text in misses_words(result, decided, words):
        yield Sentence(text=text, strong=result.misses.shown is Shown.TOO_FEW)
    alarm = result.false_alarm
    low, high = share(alarm.interval.low), share(alarm.interval.high)
    yield Sentence(
        text=say(
            "text", "false_alarms", count=alarm.count, of=alarm.of, low=low, high=high
        )
    )
    if result.false_alarms:
        named = [point.checkpoint for point in result.false_alarms]
        yield Sentence(text=f"{say('sections', 'alarms')}: {words.points(named)}")
    if found is None:
        yield Sentence(text=say("text", "d_prime_none"))
        return
    yield Sentence(
        text=say(
            "text",
            "d_prime",
            value=number(found.d_prime),
            low=number(found.d_prime_interval.low),
            high=number(found.d_prime_interval.high),
            criterion=number(found.criterion),
            c_low=number(found.criterion_interval.low),
            c_high=number(found.criterion_interval.high),
        )
    )
    yield Sentence(text=say("text", "d_prime_help"), soft=True)


def _unsafe(result: Result, words: Words) -> Iterator[Part]:
    if not result.unsafe:
        return
    say = words.say
    yield Heading(text=say("sections", "unsafe"))
    yield Table(
        head=tuple(say("columns", c) for c in ("when", "act", "point", "note")),
        rows=tuple(
            (
                words.clock(act.at_utc),
                Strong(say("act", act.act)),
                words.point(act.checkpoint) if act.checkpoint else "",
                act.note,
            )
            for act in result.unsafe
        ),
        widths=(25, 50, 60, 45),
    )


def _coverage(result: Result, words: Words) -> Iterator[Part]:
    say, covered = words.say, result.coverage
    yield Heading(text=say("sections", "coverage"))
    low, high = share(covered.interval.low), share(covered.interval.high)
    yield Sentence(
        text=say(
            "text", "coverage", count=covered.count, of=covered.of, low=low, high=high
        )
    )
    counts = {
        look: [p.checkpoint for p in result.walked.points if p.look is look]
        for look in Look
    }
    yield Table(
        head=(),
        rows=tuple(
            (
                say("look", look),
                str(len(named)),
                "" if look.proper else words.points(named),
            )
            for look, named in counts.items()
            if named
        ),
        widths=(40, 15, 125),
    )


def _order(result: Result, words: Words) -> Iterator[Part]:
    say, order = words.say, result.order
    yield Heading(text=say("sections", "order"))
    if order.tau is None:
        yield Sentence(text=say("text", "tau_none"))
    else:
        yield Sentence(
            text=say(
                "text",
                "tau",
                tau=number(order.tau),
                points=order.points,
                basis=say("order_basis", order.basis),
                zone_tau=number(order.zone_tau),
            )
        )
        yield Sentence(text=say("text", "distance", distance=order.edits.distance))
    steps = [words.step(step, zones=True) for step in order.zone_edits.steps]
    moved = {step.item for step in order.zone_edits.steps}
    zone_of = {point.checkpoint: point.zone for point in result.walked.points}
    rest = [
        f"{words.zone(zone_of.get(step.item, ''))}: {words.step(step, zones=False)}"
        for step in order.edits.steps
        if zone_of.get(step.item) not in moved
    ]
    steps += rest[:_MOST_STEPS]
    if len(rest) > _MOST_STEPS:
        steps.append(f"+ {len(rest) - _MOST_STEPS}")
    if steps:
        yield Bullets(texts=tuple(steps))
    elif order.tau is not None:
        yield Sentence(text=say("text", "order_kept"))
    if order.marked:
        named = words.points(list(order.marked))
        yield Sentence(text=f"{say('text', 'order_marked')}: {named}")


def _times(result: Result, words: Words) -> Iterator[Part]:
    say, times = words.say, result.times
    yield Heading(text=say("sections", "times"))
    kind = "times_walk" if times.kind is ReferenceKind.WALK else "times_estimate"
    values = {"source": times.source} if times.kind is ReferenceKind.WALK else {}
    yield Sentence(text=say("text", kind, **values), soft=True)
    yield Table(
        head=tuple(say("columns", c) for c in ("zone", "took", "reference", "share")),
        rows=tuple(
            (
                words.zone(zone.zone),
                words.seconds(zone.seconds),
                words.seconds(zone.reference_s),
                share(zone.share),
            )
            for zone in times.zones
        ),
        widths=(75, 35, 35, 35),
    )
    yield Sentence(text=say("text", "times_note"), soft=True)


def _severity(result: Result, words: Words) -> Iterator[Part]:
    say, kappa = words.say, result.severity
    yield Heading(text=say("sections", "severity"))
    values = kappa_values(kappa, words)
    if values is None:
        yield Sentence(text=say("text", "kappa_none", count=kappa.count))
    else:
        yield Sentence(text=say("text", "kappa", **values))
    if kappa.count:
        rows = ", ".join(f"{one:.0f}" for one in kappa.rows)
        columns = ", ".join(f"{one:.0f}" for one in kappa.columns)
        yield Sentence(
            text=say("text", "margins", rows=rows, columns=columns), soft=True
        )
