"""Spot and call asks what a walk would ask, and judges part by part."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.errors import LearnError
from voicecheck.learn.events import Call, CallParts, Grade, Opened, Review
from voicecheck.learn.sessions.ports import Feedback, Listening
from voicecheck.learn.sessions.spot import Spot, grade
from voicecheck.learn.situations import Situation, build
from voicecheck.round.answers import LeakClass, Severity

LOADER = load("wheel-loader")
MADE = build(LOADER)


def one_of(kind: str) -> Situation:
    """Return the first situation of a kind."""
    return next(one for one in MADE if one.kind == kind)


def called(session: Spot, *values: str) -> Feedback:
    """Answer with these values; return the feedback to the last."""
    return [session.answer(value) for value in values][-1]


def right_values(one: Situation) -> list[str]:
    """Return what a perfect learner answers, in order."""
    expected = one.expected
    settled = {Opened.IN_LIMITS: "yes", Opened.OUTSIDE: "no"}
    values = [settled.get(expected.opened, str(expected.opened))]
    values += [str(part) for part in (expected.severity, expected.leak_class) if part]
    if not expected.opened.all_well and expected.opened is not Opened.NO:
        values.append("yes" if expected.may_work else "no")
    return values


@settings(deadline=None)
@given(st.integers(0, len(MADE) - 1))
def test_a_perfect_call_of_anything_is_right(at: int) -> None:
    """Whatever is described, the expected call is taken, right, and good."""
    session = Spot(LOADER, [MADE[at]])

    feedback = called(session, *right_values(MADE[at]))

    assert session.finished
    assert feedback.right
    call, review = feedback.events
    assert isinstance(call, Call)
    assert call.said == call.expected
    assert isinstance(review, Review)
    assert review.grade is Grade.GOOD


@settings(deadline=None)
@given(st.integers(0, len(MADE) - 1), st.data())
def test_any_path_ends_with_one_call_and_one_review(
    at: int, data: st.DataObject
) -> None:
    """Whatever a learner says, the machine is never let work by silence, and a
    wrong release is never graded as known."""
    session = Spot(LOADER, [MADE[at]])
    feedback = Feedback(text="")
    while not session.finished:
        choices = [choice.value for choice in session.ask().choices]
        feedback = session.answer(data.draw(st.sampled_from(choices)))

    call, review = feedback.events
    assert isinstance(call, Call)
    assert isinstance(review, Review)
    assert feedback.right == (call.said == call.expected)
    if call.said.may_work and not call.expected.may_work:
        assert review.grade is Grade.AGAIN


@pytest.mark.parametrize(
    ("kind", "values", "heard"),
    [
        ("leak/fuel/I", ["leak", "I", "no"], [Listening.LEAK_CLASS, Listening.YES_NO]),
        (
            "rim/paint_crack",
            ["defect", "critical", "no"],
            [Listening.SEVERITY, Listening.YES_NO],
        ),
        ("rim/good/dry", ["good"], []),
        ("nuts/unseen/mud", ["could_not_check", "no"], [Listening.YES_NO]),
        ("cab_empty/no/glare", ["no"], []),
        ("level/coolant_level/low", ["low", "no"], [Listening.YES_NO]),
        ("reading/tyre_pressure/far_low", ["no", "no"], [Listening.YES_NO]),
    ],
)
def test_only_what_belongs_to_a_call_is_asked(
    kind: str, values: list[str], heard: list[Listening]
) -> None:
    """A leak has a class, a defect a severity; what is well asks nothing more."""
    session = Spot(LOADER, [one_of(kind)])
    asked = []
    for value in values:
        asked.append(session.ask().listening)
        session.answer(value)

    assert asked[1:] == heard
    assert session.finished


def test_feedback_names_what_is_right_and_what_is_not() -> None:
    """Class right, release wrong: both are said, with the rule and its source."""
    feedback = called(Spot(LOADER, [one_of("leak/fuel/I")]), "leak", "I", "yes")

    assert feedback.right is False
    assert "Right: leak, class one" in feedback.text
    assert "It may not work, and you said yes." in feedback.text
    assert "Any fuel leak, even wetness." in feedback.text
    assert "29 CFR 1910.178(p)(4)" in feedback.source
    assert "TM 5-3895-383-24, 1-10" in feedback.source
    assert "competent person" in feedback.source
    assert "CFR" not in feedback.text, "paragraph numbers are not for the ear"


def test_feedback_warns_of_what_can_hurt() -> None:
    """Hydraulic oil under pressure: the caution comes even when all was right."""
    feedback = called(Spot(LOADER, [one_of("leak/hydraulic_oil/I")]), "good")

    assert "class one: wet, no drops form" in feedback.text
    assert "Never feel for a leak by hand" in feedback.caution


def test_a_defect_called_good_is_counted_and_said_at_the_end() -> None:
    """The dangerous mistake stands in the ending."""
    session = Spot(LOADER, [one_of("belt/cut"), one_of("belt/good/clicks")])
    called(session, "good", "good")

    ending = session.ending()

    assert ending.right is False
    assert ending.text.startswith("1 of 2 right.")
    assert "dangerous" in ending.text


def test_a_hint_makes_the_call_hard() -> None:
    """Right with a hint is not known by heart; the next call starts afresh."""
    session = Spot(LOADER, [one_of("belt/good/clicks")] * 2)
    assert "Cut, frayed" in session.hint().text

    grades = [
        event.grade
        for _ in range(2)
        for event in session.answer("good").events
        if isinstance(event, Review)
    ]

    assert grades == [Grade.HARD, Grade.GOOD]


def test_an_answer_outside_the_choices_changes_nothing() -> None:
    """It is refused with the choices, and the question stays open."""
    session = Spot(LOADER, [one_of("belt/cut")])
    with pytest.raises(LearnError, match="could_not_check"):
        session.answer("not_fitted")

    assert session.ask().listening is Listening.CONDITION


def test_nothing_is_left_to_ask_at_the_end() -> None:
    """Asking a finished session is an error that says what to do."""
    session = Spot(LOADER, [])

    assert session.finished
    assert session.ending().text == "Nothing was called."
    with pytest.raises(LearnError, match="another session"):
        session.ask()


def call(
    opened: Opened,
    *,
    severity: Severity | None = None,
    leak_class: LeakClass | None = None,
    may_work: bool = False,
) -> CallParts:
    """Return a call in one line."""
    return CallParts(
        opened=opened, severity=severity, leak_class=leak_class, may_work=may_work
    )


@pytest.mark.parametrize(
    ("expected", "said", "hinted", "graded"),
    [
        pytest.param(
            call(Opened.DEFECT, severity=Severity.MAJOR),
            call(Opened.DEFECT, severity=Severity.CRITICAL),
            False,
            Grade.HARD,
            id="one step too bad",
        ),
        pytest.param(
            call(Opened.DEFECT, severity=Severity.CRITICAL),
            call(Opened.DEFECT, severity=Severity.MINOR),
            False,
            Grade.AGAIN,
            id="two steps too good",
        ),
        pytest.param(
            call(Opened.LEAK, leak_class=LeakClass.ONE),
            call(Opened.LEAK, leak_class=LeakClass.ONE, may_work=True),
            False,
            Grade.AGAIN,
            id="released wrongly",
        ),
        pytest.param(
            call(Opened.LEAK, leak_class=LeakClass.ONE, may_work=True),
            call(Opened.LEAK, leak_class=LeakClass.ONE),
            False,
            Grade.HARD,
            id="held back without need",
        ),
        pytest.param(
            call(Opened.LOW), call(Opened.EMPTY), False, Grade.HARD, id="low for empty"
        ),
        pytest.param(
            call(Opened.LOW),
            call(Opened.BETWEEN, may_work=True),
            False,
            Grade.AGAIN,
            id="low called between",
        ),
        pytest.param(
            call(Opened.FULL, may_work=True),
            call(Opened.BETWEEN, may_work=True),
            False,
            Grade.HARD,
            id="full called between",
        ),
        pytest.param(
            call(Opened.GOOD, may_work=True),
            call(Opened.DEFECT, severity=Severity.MINOR, may_work=True),
            False,
            Grade.AGAIN,
            id="false alarm",
        ),
    ],
)
def test_grades(
    expected: CallParts, said: CallParts, hinted: bool, graded: Grade
) -> None:
    """A wrong beginning or a wrong release is not known; one step off is hard."""
    assert grade(expected, said, hinted=hinted) is graded
