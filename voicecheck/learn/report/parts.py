"""Progress as headings, sentences, tables and charts, for every output alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from voicecheck.learn.advice import Advice
from voicecheck.learn.calling import CallFigures
from voicecheck.learn.cards import CardSort
from voicecheck.learn.plan import Cause
from voicecheck.learn.report.charts import interval_chart, line_chart
from voicecheck.learn.report.view import View
from voicecheck.learn.report.words import figure_words, share_words, words
from voicecheck.report.labels_file import Labels
from voicecheck.report.period.parts import Heading, Part, Sentence, Table
from voicecheck.statistics.agreement import Kappa
from voicecheck.statistics.forgetting import LEAST_REVIEWS, Forgetting

__all__ = ["parts", "title"]

_MOST_ORDERS = 8
_NOTHING = "–"


def title(shown: View) -> str:
    """Return the title of a view."""
    at = words(shown.language)
    return at["page"]["title"].format(
        learner=shown.learner, machine=shown.checklist.machine
    )


def parts(shown: View) -> Iterator[Part]:
    """Return all parts in order."""
    at, now = words(shown.language), shown.progress
    until = f"{now.until:%Y-%m-%d %H:%M}"
    yield Sentence(text=at["page"]["until"].format(time=until), soft=True)
    yield from _plan(shown, at)
    yield from _next(shown, at)
    if not now.cards.count and not now.points.count:
        yield Sentence(text=at["page"]["nothing"])
    else:
        yield from _where(shown, at)
        yield from _calls(shown, at)
        yield from _weeks(shown, at)
        yield from _order(shown, at)
        yield from _zones(shown, at)
        yield Sentence(text=at["page"]["methods"], soft=True)
    yield Sentence(text=at["page"]["private"].format(learner=shown.learner), soft=True)
    yield Sentence(text=at["page"]["first"], soft=True)


def _plan(shown: View, at: Labels) -> Iterator[Part]:
    yield Heading(text=at["sections"]["plan"])
    today = shown.plan
    if not today.items:
        yield Sentence(text=at["plan"]["nothing"])
        return
    due = sum(item.cause is Cause.DUE for item in today.items)
    text = at["plan"]["today"].format(
        count=len(today.items),
        minutes=max(1, round(today.seconds / 60)),
        due=due,
        new=len(today.items) - due,
    )
    calls = len(today.of(CardSort.CALL))
    for count, what in (
        (calls, at["plan"]["call"]),
        (len(today.items) - calls, at["plan"]["place"]),
    ):
        if count:
            text += f" {at['plan']['of'].format(count=count, what=what)}."
    if today.due > due:
        text += f" {at['plan']['waiting'].format(due=today.due - due)}"
    yield Sentence(text=text)


def _next(shown: View, at: Labels) -> Iterator[Part]:
    if not shown.advice:
        return
    yield Heading(text=at["sections"]["next"])
    columns = at["columns"]
    yield Table(
        head=(columns["what"], columns["why"], columns["command"]),
        rows=tuple(_advice(one, shown, at) for one in shown.advice),
        widths=(60, 75, 45),
    )


def _advice(one: Advice, shown: View, at: Labels) -> tuple[str, str, str]:
    zone = shown.checklist.zone(one.zone_id).title if one.zone_id else ""
    value = _NOTHING if one.value is None else f"{one.value:.2f}"
    why = at["why"][one.why].format(count=one.count, of=one.of, value=value)
    command = f"voicecheck learn {one.mode}"
    return at["next"][one.why].format(zone=zone), why, command


def _where(shown: View, at: Labels) -> Iterator[Part]:
    now, where = shown.progress, at["where"]
    yield Heading(text=at["sections"]["where"])
    remembered = _NOTHING if now.remembered is None else f"{now.remembered:.0%}"
    points, cards = now.points, now.cards
    yield Table(
        head=(),
        rows=(
            (where["points"], where["of"].format(count=points.count, of=points.of)),
            (where["cards"], where["of"].format(count=cards.count, of=cards.of)),
            (where["remembered"], remembered),
            (where["memory"], _memory(now.memory, where)),
            (where["due"], str(now.due)),
            (where["minutes"], f"{now.minutes:.0f}"),
        ),
        widths=(110, 70),
    )


def _memory(kept: Forgetting | None, where: Mapping[str, str]) -> str:
    if kept is None:
        return where["memory_untold"].format(needed=LEAST_REVIEWS)
    figure = figure_words(kept.factor, kept.interval)
    return where["memory_told"].format(factor=figure, count=kept.reviews)


def _calls(shown: View, at: Labels) -> Iterator[Part]:
    now, calls = shown.progress, at["calls"]
    if not now.overall.right.of:
        return
    yield Heading(text=at["sections"]["calls"])
    columns = at["columns"]
    recent, overall = _call_rows(now.recent, at), _call_rows(now.overall, at)
    yield Table(
        head=(
            columns["figure"],
            columns["recent"].format(count=now.recent.right.of),
            columns["all"].format(count=now.overall.right.of),
        ),
        rows=tuple((name, recent[name], overall[name]) for name in recent),
        widths=(60, 60, 60),
    )
    yield Sentence(text=f"{calls['scale']} {calls['leaning']}", soft=True)


def _call_rows(figures: CallFigures, at: Labels) -> dict[str, str]:
    calls, found = at["calls"], figures.detection
    d_prime = criterion = calls["none"]
    if found is not None:
        d_prime = figure_words(found.d_prime, found.d_prime_interval)
        criterion = figure_words(found.criterion, found.criterion_interval)
    released = share_words(figures.released)
    if figures.released_at_most is not None:
        most = calls["at_most"].format(share=f"{figures.released_at_most:.0%}")
        released = f"{figures.released.count}/{figures.released.of}; {most}"
    return {
        calls["right"]: share_words(figures.right),
        calls["detection"]: d_prime,
        calls["criterion"]: criterion,
        calls["severity"]: _kappa(figures.severity, at),
        calls["leak_class"]: _kappa(figures.leak_class, at),
        calls["released"]: released,
    }


def _kappa(kappa: Kappa, at: Labels) -> str:
    if kappa.value is not None:
        return f"κ {figure_words(kappa.value, kappa.interval)}, n = {kappa.count}"
    if kappa.count:
        return at["calls"]["no_spread"].format(count=kappa.count)
    return at["calls"]["none"]


def _weeks(shown: View, at: Labels) -> Iterator[Part]:
    weeks, columns = shown.progress.weeks, at["columns"]
    if not weeks:
        return
    yield Heading(text=at["sections"]["weeks"])
    told = [
        (f"{week.monday:%m-%d}", found.d_prime, found.d_prime_interval)
        for week in weeks
        if (found := week.calls.detection) is not None
    ]
    if len(told) > 1:
        yield Sentence(text=at["charts"]["detection"], soft=True)
        yield interval_chart(told, at["charts"]["detection"])
    names = ("week", "minutes", "calls", "right", "detection", "criterion")
    yield Table(
        head=tuple(columns[name] for name in (*names, "severity", "tau")),
        rows=tuple(
            (
                f"{week.monday:%Y-%m-%d}",
                f"{week.minutes:.0f}",
                str(week.calls.right.of),
                _short(week.calls.right.value, "{:.0%}"),
                *_found(week.calls),
                _short(week.calls.severity.value, "{:.2f}"),
                _short(week.tau, "{:.2f}"),
            )
            for week in weeks
        ),
        widths=(24, 17, 15, 15, 36, 36, 20, 17),
    )


def _found(figures: CallFigures) -> tuple[str, str]:
    found = figures.detection
    if found is None:
        return _NOTHING, _NOTHING
    return (
        figure_words(found.d_prime, found.d_prime_interval),
        figure_words(found.criterion, found.criterion_interval),
    )


def _short(value: float | None, form: str) -> str:
    return _NOTHING if value is None else form.format(value)


def _order(shown: View, at: Labels) -> Iterator[Part]:
    said, columns = shown.progress.order, at["columns"]
    if not said:
        return
    yield Heading(text=at["sections"]["order"])
    taus = [(f"{one.at:%m-%d}", one.tau) for one in said if one.tau is not None]
    if len(taus) > 1:
        yield Sentence(text=at["charts"]["tau"], soft=True)
        yield line_chart(taus, at["charts"]["tau"], low=-1.0, high=1.0)
    yield Table(
        head=(columns["date"], columns["tau"], columns["off"]),
        rows=tuple(
            (f"{one.at:%Y-%m-%d}", _short(one.tau, "{:.2f}"), str(one.distance))
            for one in said[-_MOST_ORDERS:]
        ),
        widths=(60, 60, 60),
    )


def _zones(shown: View, at: Labels) -> Iterator[Part]:
    columns = at["columns"]
    yield Heading(text=at["sections"]["zones"])
    yield Table(
        head=(columns["zone"], columns["points"], columns["last_order"]),
        rows=tuple(
            (
                shown.checklist.zone(zone.zone_id).title,
                f"{zone.points.count}/{zone.points.of}",
                _NOTHING
                if zone.order is None
                else f"tau {_short(zone.order.tau, '{:.2f}')}, "
                f"{columns['off']}: {zone.order.distance}",
            )
            for zone in shown.progress.zones
        ),
        widths=(80, 40, 60),
    )
