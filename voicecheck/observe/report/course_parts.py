"""A course across its trainees as parts."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.observe.course import Course, Hint, Item, Suggestion
from voicecheck.observe.report.parts import (
    Bullets,
    Heading,
    Part,
    Report,
    Sentence,
    Table,
)
from voicecheck.observe.report.words import Words, number, share


def course_report(course: Course, words: Words, made_utc: str) -> Report:
    """Return what a course shows. It names no trainee."""
    return Report(
        title=f"{words.say('title', 'course')}: {words.checklist.title}",
        parts=tuple(_parts(course, words)),
        language=words.language,
        made_utc=made_utc,
    )


def _parts(course: Course, words: Words) -> Iterator[Part]:
    say, figures = words.say, course.figures
    yield Sentence(
        text=say(
            "course",
            "persons",
            persons=course.trainees,
            observations=course.observations,
        )
    )
    if course.items:
        yield Heading(text=say("sections", "items"))
        columns = ("point", "planted", "difficulty", "interval", "discrimination")
        yield Table(
            head=tuple(say("columns", column) for column in columns),
            rows=tuple(_row(item, words) for item in course.items),
            widths=(54, 44, 22, 24, 36),
        )
        yield Sentence(text=say("course", "only"), soft=True)
        needed = figures.persons_needed
        if course.trainees < needed:
            yield Sentence(text=say("course", "few", needed=needed))
        if figures.alpha is None:
            yield Sentence(text=say("course", "alpha_none", needed=needed))
        else:
            persons = figures.complete_persons
            alpha = number(figures.alpha)
            yield Sentence(text=say("course", "alpha", alpha=alpha, persons=persons))
    yield Heading(text=say("sections", "suggestions"))
    hints = tuple(suggestion_words(one, words) for one in course.suggestions)
    yield Bullets(texts=hints or (say("course", "nothing"),))
    yield Sentence(text=say("text", "first"), soft=True)


def suggestion_words(one: Suggestion, words: Words) -> str:
    """Return a suggestion in words."""
    if one.hint is Hint.ORDER:
        zone = words.zone(one.where)
        return words.say("course", "order", zone=zone, count=one.count, of=one.of)
    values: dict[str, object] = {"point": words.point(one.where).rstrip("?.")}
    if one.hint is Hint.HARD and one.planted is not None:
        point = words.checklist.checkpoint(one.where)
        values |= {
            "planted": words.answer(one.planted.expected, one.where),
            "count": one.count,
            "of": one.of,
            "wrong": point.wrong,
        }
    return words.say("course", one.hint, **values)


def _row(item: Item, words: Words) -> tuple[str, ...]:
    figures = item.figures
    interval, apart = figures.difficulty_interval, figures.discrimination_interval
    ends, divides = "–", number(figures.discrimination)
    if interval is not None:
        low, high = share(interval.low), share(interval.high)
        ends = words.say("text", "interval", low=low, high=high)
    if apart is not None:
        low, high = number(apart.low), number(apart.high)
        divides += f" ({words.say('text', 'interval', low=low, high=high)})"
    found = words.say("text", "of", count=figures.right, of=figures.persons)
    return (
        words.point(item.fault.checkpoint),
        words.answer(item.fault.expected, item.fault.checkpoint),
        found,
        ends,
        divides,
    )
