"""The table of the policy: it says what is decided, and stands in the guide."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.dialogue.confirmation import Outcome, decide, standard_costs
from voicecheck.dialogue.decision_table import (
    BESIDE,
    STEPS,
    decision_rows,
    decision_table,
    thresholds,
)
from voicecheck.speech.ports import Hypothesis

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"


def test_the_guide_holds_the_table_as_it_is() -> None:
    """Costs that change, change the guide."""
    assert f"<!-- decision-table -->\n\n{decision_table()}\n" in GUIDE.read_text(
        encoding="utf-8"
    )


def test_thresholds_by_hand() -> None:
    """A yes is not read back: 25 (1 - p) turns against 1.5 of asking again; with a no
    of 0.002 beside it 0.8 turns more are lost. A no: 4 (1 - p) against 1.5."""
    rows = {row.said: row for row in decision_rows()}

    yes = rows["yes, to a read-back"]
    assert yes.taken == pytest.approx(1 - 1.5 / 25, abs=1.5 / STEPS)
    least = 1 - BESIDE - (1.5 - 400 * BESIDE) / 25
    assert yes.taken_beside == pytest.approx(least, abs=1.5 / STEPS)
    no = rows["no, to a read-back"]
    assert no.taken == pytest.approx(1 - 1.5 / 4, abs=1.5 / STEPS)


@settings(deadline=None)
@given(p=st.floats(0.0, 1.0), beside=st.sampled_from([0.0, BESIDE]))
def test_a_good_is_decided_as_the_thresholds_say(p: float, beside: float) -> None:
    """Everywhere between them, not at the edges of the table alone."""
    costs = standard_costs().after(0)
    taken, read_back = thresholds("good", costs, beside=beside)
    assert taken is not None
    assert read_back is not None
    p = min(p, 1 - beside)
    if min(abs(p - taken), abs(p - read_back)) < 2 / STEPS:
        return
    heard = [Hypothesis(phrase="good", meaning="good", confidence=p)]
    if beside:
        heard.append(Hypothesis(phrase="leak", meaning="leak", confidence=beside))

    expected = Outcome.REJECT
    if p > read_back:
        expected = Outcome.CONFIRM
    if p > taken:
        expected = Outcome.ACCEPT
    assert decide(sorted(heard, key=lambda h: -h.confidence), costs) is expected
