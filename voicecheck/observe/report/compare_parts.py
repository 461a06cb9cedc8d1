"""Two assessors of one walk as parts."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.compare import Comparison, PointPair, Seen
from voicecheck.observe.keeping import started
from voicecheck.observe.report.figures_parts import kappa_values
from voicecheck.observe.report.parts import (
    Bullets,
    Heading,
    Part,
    Report,
    Sentence,
    Table,
)
from voicecheck.observe.report.words import Words
from voicecheck.statistics.agreement import Kappa

SAME_WALK_MIN = 15.0
"""Two who watch one walk begin nearly together."""


def compare_report(found: Comparison, words: Words) -> Report:
    """Return the comparison of two assessors."""
    first, second = started(found.first), started(found.second)
    return Report(
        title=f"{words.say('title', 'compare')}: {first.trainee}, {first.unit}",
        parts=tuple(_parts(found, words)),
        language=words.language,
        made_utc=max(first.at_utc, second.at_utc),
    )


def _parts(found: Comparison, words: Words) -> Iterator[Part]:
    say = words.say
    first, second = started(found.first), started(found.second)
    yield Sentence(
        text=say(
            "compare", "same", trainee=first.trainee, first=first.by, second=second.by
        )
    )
    if found.minutes_apart > SAME_WALK_MIN:
        minutes = round(found.minutes_apart)
        yield Sentence(text=say("compare", "other_walk", minutes=minutes), strong=True)
    yield Heading(text=say("sections", "agreement"))
    yield Sentence(text=_kappa(found.looks, "looks", words))
    yield Sentence(text=_kappa(found.calls, "calls", words))
    yield Sentence(text=say("compare", "paradox"), soft=True)
    yield Heading(text=say("sections", "talk"))
    talk = found.to_talk_about
    if talk:
        yield Table(
            head=(say("columns", "point"), first.by, second.by),
            rows=tuple(_row(pair, words) for pair in talk),
            widths=(70, 55, 55),
        )
    else:
        yield Sentence(text=say("compare", "all_agree"))
    elsewhere = [
        f"{who}: {', '.join(say('act', act) for act in acts)}"
        for who, acts in zip((first.by, second.by), found.elsewhere, strict=True)
        if acts
    ]
    if elsewhere:
        yield Heading(text=say("sections", "unsafe"))
        yield Bullets(texts=tuple(elsewhere))
    alone = found.only_one
    if alone:
        yield Sentence(
            text=say(
                "compare",
                "only_one",
                count=len(alone),
                first=first.by,
                a=sum(pair.first.marked for pair in alone),
                second=second.by,
                b=sum(pair.second.marked for pair in alone),
            )
        )
        yield Sentence(text=words.points([pair.checkpoint for pair in alone], 30))
    yield Sentence(text=say("text", "first"), soft=True)


def _kappa(kappa: Kappa, what: str, words: Words) -> str:
    values = kappa_values(kappa, words)
    if values is None:
        name = words.say("compare", f"what_{what}")
        return words.say("compare", "none", what=name, count=kappa.count)
    return words.say("compare", what, **values)


def _row(pair: PointPair, words: Words) -> tuple[str, ...]:
    return (
        words.point(pair.checkpoint),
        seen_words(pair.first, words),
        seen_words(pair.second, words),
    )


def seen_words(seen: Seen, words: Words) -> str:
    """Return what one assessor marked at a point, one thing a line."""
    lines = [words.say("look", seen.look)] if seen.look else []
    if seen.called:
        lines.append(words.say("columns", "called"))
    if seen.out_of_order:
        lines.append(words.say("text", "order_marked"))
    lines += [words.say("act", act) for act in seen.acts]
    lines += [f"“{note}”" for note in seen.notes]
    return "\n".join(lines) or words.say("compare", "nothing")
