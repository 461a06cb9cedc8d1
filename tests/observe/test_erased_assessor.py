"""An assessor is erased; what they saw of a trainee stays the trainee's."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.checklists.loader import load
from voicecheck.demo.recovery.story import SUPERVISOR, empty_store
from voicecheck.demo.recovery.trainee import Trainee, Weaknesses
from voicecheck.demo.recovery.watched import ASSESSOR, TRAINEE, watch
from voicecheck.observe.decision import Standing, decide
from voicecheck.observe.keeping import Observations
from voicecheck.observe.report.result_parts import result_report
from voicecheck.observe.report.text import report_text
from voicecheck.observe.report.words import Words
from voicecheck.observe.result import Result, result
from voicecheck.observe.seal import SealState
from voicecheck.round.checklist import Checklist


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    """The wheel loader."""
    return load("wheel-loader", "en")


@pytest.fixture(scope="module")
def before_and_after(checklist: Checklist) -> tuple[Result, Result, bytes]:
    """A result before the assessor is erased and after it, and the file's bytes."""
    good = Weaknesses(d_prime=9, criterion=0, passes_by=0, too_mild=0, swaps=0)
    events = watch(checklist, Trainee(good, 1))
    with empty_store() as store:
        kept = Observations(store)
        kept.add(TRAINEE, events)
        seen = kept.load(TRAINEE, events[0].observation, reader=TRAINEE)
        before = result(seen, checklist)
        store.erase(ASSESSOR, SUPERVISOR)
        seen = kept.load(TRAINEE, events[0].observation, reader=TRAINEE)
        return before, result(seen, checklist), Path(store.place).read_bytes()


def test_the_figures_stay(before_and_after: tuple[Result, Result, bytes]) -> None:
    """Every mark still counts, under another name; the assessor's is gone."""
    before, after, data = before_and_after

    assert after.found == before.found
    assert after.detection == before.detection
    assert after.coverage == before.coverage
    assert after.doubts == ()
    assert ASSESSOR.encode() not in data


def test_the_seal_still_holds(
    before_and_after: tuple[Result, Result, bytes], checklist: Checklist
) -> None:
    """It names nobody, so it can be checked as before, and the decision stands."""
    before, after, _ = before_and_after

    assert (before.seal, after.seal) == (SealState.HOLDS, SealState.HOLDS)
    assert decide(before).standing is Standing.MET
    assert decide(after).standing is Standing.MET
    text = report_text(result_report(after, decide(after), Words(checklist)))
    assert "The seal holds" in " ".join(text.split())
