"""The enrolment session, and how confirmed words join."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.speech.enrolment.adaptation import (
    MOST_LEARNED,
    with_learned,
    without_learned,
)
from voicecheck.speech.enrolment.checks import Fault, check_sound
from voicecheck.speech.enrolment.profile import Example, Source
from voicecheck.speech.enrolment.session import EnrolmentSession


def example(phrase: str, source: Source = Source.ENROLLED, when: str = "") -> Example:
    """An example whose sound does not matter."""
    frames = np.full(4000, 0.1, np.float32)
    return Example(phrase=phrase, frames=frames, source=source, spoken_utc=when)


def test_each_word_is_said_three_times() -> None:
    """Word after word, three good examples each, then nothing is left."""
    session = EnrolmentSession(("good", "leak"))
    asked = []
    while (word := session.next()) is not None:
        asked.append(word)
        session.accept(example(word))

    assert asked == ["good"] * 3 + ["leak"] * 3
    assert session.progress().good == 6


def test_good_examples_from_before_count() -> None:
    """A session that is taken up asks only for what is missing."""
    session = EnrolmentSession(("good", "leak"), [example("good")] * 3)

    assert session.next() == "leak"


def test_a_word_is_left_after_three_bad_tries() -> None:
    """It is noted with the reason, and the session goes on."""
    session = EnrolmentSession(("good", "leak"))
    left = [session.refuse("good", Fault.TOO_QUIET) for _ in range(3)]

    assert left == [False, False, True]
    assert session.next() == "leak"
    assert session.skipped == {"good": Fault.TOO_QUIET}


@given(
    enrolled=st.integers(0, 4),
    old=st.integers(0, 5),
    new=st.integers(0, 9),
)
def test_enrolled_examples_stay_and_weigh_at_least_half(
    enrolled: int, old: int, new: int
) -> None:
    """Whatever is learned: enrolled ones all stay, learned ones are bounded."""
    before = [example("good")] * enrolled
    before += [example("good", Source.LEARNED, f"a{n}") for n in range(old)]
    found = with_learned(
        before, [example("good", Source.LEARNED, f"b{n}") for n in range(new)]
    )
    learned = [e for e in found if e.source is Source.LEARNED]

    assert len(without_learned(found)) == enrolled
    assert len(learned) <= min(MOST_LEARNED, enrolled)
    newest = [f"a{n}" for n in range(old)] + [f"b{n}" for n in range(new)]
    assert [e.spoken_utc for e in learned] == newest[len(newest) - len(learned) :]


def test_bad_sound_is_refused() -> None:
    """Silence, clipping and noise over the word each have their own name."""
    rng = np.random.default_rng(1)
    tone = np.sin(np.arange(16_000) * 0.1).astype(np.float32)
    clipped = np.clip(3 * tone, -1, 1)

    assert Fault.SILENT in check_sound("good", 0 * tone, 40).faults
    assert Fault.TOO_QUIET in check_sound("good", 0.002 * tone, 40).faults
    assert Fault.CLIPPING in check_sound("good", clipped, 40).faults
    noisy = (0.1 * rng.standard_normal(16_000)).astype(np.float32)
    assert Fault.NOISE in check_sound("good", noisy, 1).faults
    assert Fault.LENGTH in check_sound("good", np.tile(0.3 * tone, 4), 40).faults
    assert check_sound("good", 0.3 * tone, 40).faults == ()
