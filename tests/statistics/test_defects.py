"""Defects told from walks: found, seen good, found again."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from voicecheck.statistics.consumption import litres_per_100_h
from voicecheck.statistics.defects import Seen, lives, repair_spans, repeats

START = datetime(2026, 10, 1, 6, tzinfo=UTC)


def seen(text: str, checkpoint: str = "horn") -> list[Seen]:
    """Return a look a day: b for bad, g for good, anything else for no look."""
    return [
        Seen(
            unit="L-12",
            checkpoint=checkpoint,
            at=START + timedelta(days=day),
            bad=letter == "b",
        )
        for day, letter in enumerate(text)
        if letter in "bg"
    ]


def test_still_there_is_the_same_defect() -> None:
    """Three days bad, then good: one defect of three days."""
    (life,) = lives(seen("gbbbg"))

    assert life.opened == START + timedelta(days=1)
    assert life.last_seen == START + timedelta(days=3)
    assert life.repaired == START + timedelta(days=4)


def test_a_point_that_was_not_looked_at_ends_nothing() -> None:
    """Could not check is no good."""
    (life,) = lives(seen("b--b-"))

    assert life.repaired is None


def test_hours_to_repair_and_open_ones() -> None:
    """Repaired after two days; the other one is open for three and counted so."""
    defects = lives([*seen("bbg"), *seen("-b", "wipers")])

    spans = repair_spans(defects, START + timedelta(days=4))

    assert [(s.duration, s.happened) for s in spans] == [(48.0, True), (72.0, False)]


def test_a_repair_after_the_period_is_open_in_it() -> None:
    """What was not known at the end of the period does not count."""
    (span,) = repair_spans(lives(seen("b--g")), START + timedelta(days=2))

    assert (span.duration, span.happened) == (48.0, False)


def test_what_came_again_after_a_repair_is_a_repeat() -> None:
    """Twice found with a good look between; staying bad is no repeat."""
    defects = lives([*seen("bgbgb"), *seen("bbbb", "wipers")])

    assert repeats(defects) == (("L-12", "horn", 3),)


@given(st.text("bg-", max_size=30))
def test_every_bad_look_belongs_to_a_defect(text: str) -> None:
    """No order of looks loses one; at most the last one is open."""
    defects = lives(seen(text))

    bad = [look.at for look in seen(text) if look.bad]
    assert all(sum(d.opened <= at <= d.last_seen for d in defects) == 1 for at in bad)
    assert sum(d.repaired is None for d in defects) == (
        text.replace("-", "").endswith("b")
    )


def test_litres_for_a_hundred_hours() -> None:
    """Arithmetic: 3 l in 150 h are 2 l in 100 h; a meter that stands has no rate."""
    assert litres_per_100_h(3.0, 150.0) == 2.0
    assert litres_per_100_h(3.0, 0.0) is None
