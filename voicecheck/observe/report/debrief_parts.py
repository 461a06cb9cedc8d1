"""The trainee's debrief in plain words: what was good first, then what to practise."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.decision import Decided, Standing
from voicecheck.observe.faults import FaultResult
from voicecheck.observe.keeping import started
from voicecheck.observe.report.parts import Bullets, Heading, Part, Report, Sentence
from voicecheck.observe.report.result_parts import critical_title
from voicecheck.observe.report.words import Words
from voicecheck.observe.result import Result
from voicecheck.observe.walked import Look
from voicecheck.statistics.ordering import EditKind
from voicecheck.statistics.proportions import Shown

_FAST = 0.5
"""Less than half of the reference; ours. A word to the trainee, no criterion."""
_KEPT = 0.999


def debrief_report(result: Result, decided: Decided, words: Words) -> Report:
    """Return what the trainee takes home."""
    begun, ended = started(result.observation), result.observation.ended
    return Report(
        title=f"{words.say('title', 'debrief')}: {begun.trainee}, {begun.unit}",
        parts=tuple(debrief_parts(result, decided, words)),
        language=words.language,
        made_utc=ended.at_utc if ended else begun.at_utc,
    )


def debrief_parts(result: Result, decided: Decided, words: Words) -> Iterator[Part]:
    """Return the debrief."""
    say = words.say
    yield Heading(text=say("debrief", "good"))
    yield Bullets(texts=tuple(_good(result, decided, words)))
    yield Heading(text=say("debrief", "practise"))
    practise = tuple(_practise(result, decided, words))
    yield Bullets(texts=practise or (say("debrief", "nothing"),))
    yield Heading(text=say("debrief", "sure"))
    if result.misses.shown is Shown.TOO_FEW:
        planted = result.misses.planted
        yield Sentence(text=say("debrief", "too_few", planted=planted))
    unseen = sum(point.look is Look.UNMARKED for point in result.walked.points)
    if unseen:
        yield Sentence(text=say("debrief", "unmarked", count=unseen))
    yield Sentence(text=say("text", "one_walk"))
    yield Heading(text=say("debrief", "next"))
    key = {
        Standing.MET: "alone",
        Standing.NOT_MET: "again",
        Standing.CANNOT_TELL: "undecided",
    }[decided.standing]
    yield Sentence(text=say("debrief", key))
    yield Sentence(text=say("debrief", "appeal"))
    yield Sentence(text=say("text", "first"), soft=True)


def _good(result: Result, decided: Decided, words: Words) -> Iterator[str]:
    say = words.say
    ended = result.observation.ended
    found = [fault for fault in result.faults if fault.found]
    if found:
        named = words.points([fault.fault.checkpoint for fault in found])
        yield say(
            "debrief", "found", count=len(found), of=len(result.faults), points=named
        )
    critical = [fault.fault.checkpoint for fault in found if fault.critical]
    if critical:
        yield say("debrief", "found_critical", points=words.points(critical))
    met = {o.criterion.measure for o in decided.measures if o.standing is Standing.MET}
    if "coverage" in met:
        covered = result.coverage
        yield say("debrief", "coverage", count=covered.count, of=covered.of)
    if result.order.tau is not None and result.order.tau > _KEPT:
        yield say("debrief", "order")
    if result.false_alarm.of and not result.false_alarms:
        yield say("debrief", "no_alarm")
    if not result.unsafe and not decided.failed_at_once:
        yield say("debrief", "safe")
    same = [f for f in found if f.said_severity is f.severity]
    if same:
        yield say("debrief", "severity", count=len(same))
    if ended and not ended.reason:
        yield say("debrief", "finished")
    else:
        yield say("debrief", "began")


def _practise(result: Result, decided: Decided, words: Words) -> Iterator[str]:
    say = words.say
    for one in decided.failed_at_once:
        yield say("debrief", "act", act=critical_title(one, words))
    missed = [fault for fault in result.faults if not fault.found]
    for fault in sorted(missed, key=lambda f: (not f.critical, -f.severity.rank)):
        yield _missed(fault, words)
    for fault in result.faults:
        yield from _called(fault, words)
    if result.false_alarms:
        named = words.points([point.checkpoint for point in result.false_alarms])
        yield say("debrief", "alarms", points=named)
    planted = {fault.fault.checkpoint for fault in missed}
    short = [
        point.checkpoint
        for point in result.walked.points
        if point.look in (Look.MISSED, Look.GLANCED) and point.checkpoint not in planted
    ]
    if short:
        yield say("debrief", "not_looked", points=words.points(short))
    steps = [
        words.step(step, zones=True)
        for step in result.order.zone_edits.steps
        if step.kind is not EditKind.MISSING
    ]
    if steps:
        yield say("debrief", "order_steps", steps="; ".join(steps))
    leaning = result.detection and result.detection.criterion_interval.low > 0
    if leaning:
        yield say("debrief", "says_good")
    fast = [
        words.zone(zone.zone)
        for zone in result.times.zones
        if zone.share is not None and zone.share < _FAST
    ]
    if fast:
        yield say("debrief", "hurried", zones=", ".join(fast))


def _missed(fault: FaultResult, words: Words) -> str:
    say, where = words.say, fault.fault.checkpoint
    key = {
        Look.MISSED: "missed_passed",
        Look.UNMARKED: "missed_other",
        Look.GLANCED: "missed_glanced",
        Look.LOOKED: "missed_looked",
        Look.ANSWERED: "missed_looked",
        Look.COULD_NOT: "missed_other",
    }[fault.look]
    point = words.checklist.checkpoint(where)
    planted = words.answer(fault.fault.expected, where)
    return " ".join(
        (
            say("debrief", key, point=words.point(where)),
            say("debrief", "planted", answer=planted),
            say("debrief", "look", look=point.look),
            say("debrief", "wrong", wrong=point.wrong),
            say("debrief", "why", why=point.why),
        )
    )


def _called(fault: FaultResult, words: Words) -> Iterator[str]:
    where = fault.fault.checkpoint
    if fault.right_class is False:
        planted = words.answer(fault.fault.expected, where)
        yield words.say(
            "debrief", "wrong_class", point=words.point(where), planted=planted
        )
    said = fault.said_severity
    if said is None or said is fault.severity or fault.right_class is False:
        return
    key = "too_mild" if said.rank < fault.severity.rank else "too_hard"
    yield words.say(
        "debrief",
        key,
        point=words.point(where),
        said=words.severity(said),
        planted=words.severity(fault.severity),
    )
