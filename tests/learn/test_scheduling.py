"""The schedule is FSRS-6 as published, and depends on the reviews alone."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from uuid import UUID

import fsrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.learn.events import Grade, Look, Mode, Review
from voicecheck.learn.history import Done
from voicecheck.learn.scheduling import (
    ALGORITHM,
    WEIGHTS,
    CardState,
    recall_chance,
    replay,
)

START = datetime(2026, 11, 2, 6, tzinfo=UTC)
CARD = "wheel-loader/zone/bucket"


def review(grade: int, at: datetime, *, number: int = 0, card: str = CARD) -> Done:
    """Return a review with a key of its own."""
    event = Review(card=card, grade=Grade(grade), mode=Mode.NEXT)
    return Done(at=at, key=UUID(int=number), event=event)


@pytest.mark.parametrize(
    ("grade", "stability", "difficulty"),
    [
        (Grade.AGAIN, 0.212, 6.4133),
        (Grade.HARD, 1.2931, 5.1122),
        (Grade.GOOD, 2.3065, 2.1181),
        (Grade.EASY, 8.2956, 1.0),
    ],
)
def test_first_grade(grade: Grade, stability: float, difficulty: float) -> None:
    """S and D after the first grade. Source: facts, 8.5, from the FSRS-6 formulas."""
    state = replay([review(grade, START)])[CARD]

    assert state.stability_d == pytest.approx(stability, abs=5e-5)
    assert state.difficulty == pytest.approx(difficulty, abs=5e-5)


@pytest.mark.parametrize(
    ("days", "chance"),
    [(0, 1.0), (5, 0.9403), (10, 0.9), (20, 0.8459), (50, 0.7605), (100, 0.6928)],
)
def test_forgetting_curve(days: int, chance: float) -> None:
    """R for S = 10 days. Source: facts, 8.5 (R(S, S) is 0.9 by definition)."""
    state = CardState(
        card_id=CARD,
        reviews=1,
        lapses=0,
        last=START,
        last_grade=Grade.GOOD,
        due=START,
        stability_d=10.0,
        difficulty=5.0,
        learning=False,
    )

    now = START + timedelta(days=days)
    assert recall_chance(state, now) == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(
    ("grade", "stability", "difficulty"),
    [
        (Grade.AGAIN, 1.3920, 8.3418),
        (Grade.HARD, 23.2469, 6.6660),
        (Grade.GOOD, 32.0267, 4.9902),
        (Grade.EASY, 51.2539, 3.3145),
    ],
)
def test_one_review_of_a_known_card(
    grade: Grade, stability: float, difficulty: float
) -> None:
    """S 10, D 5, reviewed at R = 0.9, with our weights. Source: facts, 8.5."""
    scheduler = fsrs.Scheduler(parameters=WEIGHTS, enable_fuzzing=False)
    card = fsrs.Card(
        card_id=1,
        state=fsrs.State.Review,
        stability=10.0,
        difficulty=5.0,
        last_review=START,
    )

    card, _ = scheduler.review_card(
        card, fsrs.Rating(grade), review_datetime=START + timedelta(days=10)
    )

    assert card.stability == pytest.approx(stability, abs=5e-5)
    assert card.difficulty == pytest.approx(difficulty, abs=5e-5)


def test_the_published_example_of_the_library() -> None:
    """Good ×6, again ×2, good ×5, each on its due date: days 0 2 11 46 163 498 0 0 2
    4 7 12 21; S 20.7704, D 9.0558. Source: test of fsrs 6.3.2, facts 8.5."""
    grades = [3] * 6 + [1] * 2 + [3] * 5
    done: list[Done] = []
    days = []
    at = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
    for number, grade in enumerate(grades):
        done.append(review(grade, at, number=number))
        state = replay(done)[CARD]
        days.append((state.due - state.last).days)
        at = state.due

    assert days == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
    assert state.stability_d == pytest.approx(20.7704, abs=5e-5)
    assert state.difficulty == pytest.approx(9.0558, abs=5e-5)
    assert (state.reviews, state.lapses) == (13, 2)


def test_the_version_is_pinned_in_the_data() -> None:
    """Our weights are those of the library today; a review names the algorithm."""
    assert pytest.approx(fsrs.Scheduler().parameters) == WEIGHTS
    assert review(3, START).event.model_dump()["scheduler"] == ALGORITHM


grades = st.lists(
    st.tuples(st.integers(1, 4), st.integers(0, 400_000), st.sampled_from("abc")),
    max_size=25,
)


@settings(deadline=None)
@given(grades, st.randoms(use_true_random=False))
def test_the_same_reviews_give_the_same_schedule(
    made: list[tuple[int, int, str]], shuffle: random.Random
) -> None:
    """In whatever order they are read, with other events between, twice or once."""
    done = [
        review(grade, START + timedelta(minutes=minute), number=number, card=card)
        for number, (grade, minute, card) in enumerate(made)
    ]
    mixed = [*done]
    shuffle.shuffle(mixed)
    look = Look(checklist="wheel-loader", checkpoint="horn")
    mixed.append(Done(at=START, key=UUID(int=999), event=look))

    assert replay(mixed) == replay(done)
    assert replay(done).keys() == {card for _, _, card in made}


@settings(deadline=None)
@given(st.integers(2, 4), st.integers(1, 60))
def test_known_is_due_later_than_not_known(grade: int, days: int) -> None:
    """A card that was recalled never falls due before one that was not."""
    later = START + timedelta(days=days)
    first = review(3, START, number=0)

    good = replay([first, review(grade, later, number=1)])[CARD]
    again = replay([first, review(1, later, number=1)])[CARD]

    assert good.due >= again.due
    assert good.stability_d > again.stability_d
