"""At the keyboard a line means one choice, or nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from voicecheck.checklists import load
from voicecheck.learn.events import LearnEvent, Look, Order, Review
from voicecheck.learn.sessions.guided import Guided
from voicecheck.learn.sessions.next_point import NextPoint
from voicecheck.learn.sessions.ports import Choice, Listening, Question, Session
from voicecheck.learn.sessions.spot import Spot
from voicecheck.learn.situations import build
from voicecheck.learn.typed import Ending, Several, run_typed, understood

LOADER = load("wheel-loader")
PLACES = (
    ("bucket_welds", "Bucket and its welds"),
    ("bucket_pins", "Bucket pins, bolts and retainers"),
    ("cutting_edge", "Cutting edge"),
    ("/done", "that is all"),
)
SEVERITIES = (("minor", "minor"), ("major", "major"), ("critical", "critical"))


def question(listening: Listening, choices: tuple[tuple[str, str], ...]) -> Question:
    """Return a question with these choices."""
    made = tuple(Choice(value=value, words=words) for value, words in choices)
    return Question(text="?", listening=listening, choices=made)


@pytest.mark.parametrize(
    ("line", "means"),
    [
        ("critical", "critical"),
        ("  Critical. ", "critical"),
        ("c", "critical"),
        ("mi", "minor"),
        ("2", "major"),
        ("m", ("minor", "major")),
        ("0", None),
        ("4", None),
        ("", None),
        ("   ", None),
        ("good", None),
    ],
)
def test_a_line_means_one_choice(
    line: str, means: str | tuple[str, ...] | None
) -> None:
    """Number, word or beginning; what may be two is asked again."""
    found = understood(question(Listening.SEVERITY, SEVERITIES), line)

    if isinstance(means, tuple):
        assert isinstance(found, Several)
        assert tuple(choice.value for choice in found.choices) == means
    else:
        assert (found.value if isinstance(found, Choice) else found) == means


@pytest.mark.parametrize(
    ("line", "means"),
    [
        ("cutting edge", "cutting_edge"),
        ("edge", "cutting_edge"),
        ("pins", "bucket_pins"),
        ("welds bucket", "bucket_welds"),
        ("all", "/done"),
        ("bucket", ("bucket_welds", "bucket_pins")),
        ("1", None),
        ("tyre", None),
    ],
)
def test_a_place_is_named_not_numbered(
    line: str, means: str | tuple[str, ...] | None
) -> None:
    """A number would give the order away; words in any order will do."""
    found = understood(question(Listening.PLACE, PLACES), line)

    if isinstance(means, tuple):
        assert isinstance(found, Several)
        assert tuple(choice.value for choice in found.choices) == means
    else:
        assert (found.value if isinstance(found, Choice) else found) == means


def played(session: Session, *lines: str) -> tuple[Ending, list[LearnEvent], str]:
    """Type lines; return how it ended, what was kept, and all that was shown."""
    typed: Iterator[str] = iter(lines)
    kept: list[LearnEvent] = []
    shown: list[str] = []
    ending = run_typed(
        session,
        language="en",
        keep=kept.extend,
        read=lambda: next(typed, None),
        say=shown.append,
    )
    return ending, kept, "\n".join(shown)


def test_what_was_answered_before_the_end_of_input_is_kept() -> None:
    """The input ends in the middle of the second call: the first is kept."""
    one = next(s for s in build(LOADER) if s.kind == "leak/fuel/I")

    ending, kept, shown = played(Spot(LOADER, [one, one]), "leak", "1", "no", "leak")

    assert ending is Ending.LEFT
    assert [event.kind for event in kept] == ["learn/call/1", "learn/review/1"]
    assert "1910.178(p)(4)" in shown
    assert "What you answered is kept." in shown


def test_places_are_not_shown() -> None:
    """They are to be remembered; a hint is asked for with a question mark."""
    ending, kept, shown = played(
        NextPoint(LOADER, zones=["bucket"]), "welds", "?", "pins, bolts", "stop"
    )

    assert ending is Ending.STOPPED
    assert "Cutting edge" not in shown
    (order,) = [event for event in kept if isinstance(event, Order)]
    assert order.said == ("bucket_welds", "bucket_pins")
    assert sum(isinstance(event, Review) for event in kept) == 2


def test_a_guided_walk_is_typed_to_its_end() -> None:
    """Next at each point of a zone; why tells more and goes nowhere."""
    lines = ["next", "why", "next", "next", "next"]

    ending, kept, shown = played(Guided(LOADER, zones=["bucket"]), *lines)

    assert ending is Ending.FINISHED
    assert [e.checkpoint for e in kept if isinstance(e, Look)] == [
        "bucket_welds",
        "bucket_pins",
        "cutting_edge",
        "bucket_teeth",
    ]
    assert "A pin walks out slowly" in shown


def test_nonsense_is_asked_again_and_changes_nothing() -> None:
    """Empty lines and other words answer nothing."""
    one = next(s for s in build(LOADER) if s.kind == "rim/good/dry")

    ending, kept, shown = played(Spot(LOADER, [one]), "", "okay", "fine", "good")

    assert ending is Ending.FINISHED
    assert shown.count("Not understood") == 3
    assert len(kept) == 2
