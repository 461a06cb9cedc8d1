"""Known weaknesses of a trainee come back from the marks of a walk."""

from __future__ import annotations

import pytest
from scipy.stats import binom, norm

from voicecheck.demo.recovery import truths
from voicecheck.demo.recovery.recovered import Recovered, recover
from voicecheck.demo.recovery.story import empty_store, judged
from voicecheck.demo.recovery.trainee import Weaknesses
from voicecheck.demo.recovery.watched import (
    ASSESSOR,
    PLANTED,
    TRAINEE,
    walk_figures,
    watched,
)
from voicecheck.errors import UsageError
from voicecheck.observe.result import Result
from voicecheck.observe.seal import SealState
from voicecheck.round.checklist import Checklist
from voicecheck.statistics.proportions import Shown
from voicecheck.testing.small_checklist import small_checklist

SEEDS = 150
WEAK = Weaknesses()
LEANS = {"severity, kappa": 0.15, "sensitivity d'": 0.1}
"""By how much a figure of a dozen faults may lean, for good reason: kappa of eight
pairs is low, since chance agreement is taken from the same few; the log-linear
correction draws d' of twelve signals towards 0."""


@pytest.fixture(scope="module")
def results(checklist: Checklist) -> list[Result]:
    """Walks of fixed seeds."""
    return [watched(checklist, WEAK, seed) for seed in range(SEEDS)]


@pytest.fixture(scope="module")
def found(checklist: Checklist, results: list[Result]) -> dict[str, Recovered]:
    """What came out, by name."""
    made = recover(tuple(walk_figures(checklist, WEAK, one)) for one in results)
    return {one.name: one for one in made}


NAMES = [
    "planted faults found",
    "false alarms",
    "sensitivity d'",
    "criterion c",
    "points looked at",
    "severity, kappa",
    "order of zones, tau",
]


@pytest.mark.xdist_group("watched")
class TestRecovery:
    """A hundred and fifty walks."""

    @pytest.mark.parametrize("name", NAMES)
    def test_the_mean_is_near_the_truth(
        self, found: dict[str, Recovered], name: str
    ) -> None:
        """Within what the scatter of the seeds allows: were the mean exactly right,
        a figure would fail with other seeds once in 10,000 times."""
        one = found[name]
        assert one.middle is not None
        assert one.middle_interval is not None

        half = one.middle_interval.width / 2 * norm.ppf(1 - 0.5e-4) / norm.ppf(0.975)
        assert abs(one.middle - one.truth) <= half + LEANS.get(name, 0.0)

    @pytest.mark.parametrize("name", NAMES[:-1])
    def test_the_intervals_hold_the_truth(
        self, found: dict[str, Recovered], name: str
    ) -> None:
        """If they did so in 92 %, fewer would come once in 10,000 times."""
        one = found[name]

        assert one.with_interval == one.told
        assert one.held >= binom.ppf(1e-4, one.told, 0.92)

    def test_too_few_faults_never_show_that_all_is_well(
        self, results: list[Result]
    ) -> None:
        """A third is missed, 5 % are allowed, 12 are planted: it is shown, or there
        are too few to tell and more are asked for; never "within"."""
        shown = {one.misses.shown for one in results}

        assert shown == {Shown.BEYOND, Shown.TOO_FEW}
        assert all(one.misses.planted == PLANTED for one in results)
        assert all(one.misses.needed >= 59 for one in results)

    def test_every_seal_holds(self, results: list[Result]) -> None:
        """What was opened is what was sealed, and nothing else is doubtful."""
        assert {one.seal for one in results} == {SealState.HOLDS}
        assert all(one.doubts == () for one in results)


def test_a_good_trainee_has_good_figures(checklist: Checklist) -> None:
    """The check can fail: without weaknesses all is found, in order."""
    good = Weaknesses(d_prime=9, criterion=0, too_mild=0, severity_error=0, swaps=0)
    found = watched(checklist, good, 1)

    assert found.false_alarm.count == 0
    assert found.order.zone_tau == 1.0
    assert found.severity.value in (1.0, None)
    assert truths.walked_hit_rate(good) == pytest.approx(0.92, abs=0.001)


def test_a_machine_without_faults_is_refused() -> None:
    """The demo's faults are those of a wheel loader; others are told so."""
    with pytest.raises(UsageError, match="give --checklist wheel-loader"):
        watched(small_checklist(), WEAK, 1)


def test_the_story_and_the_table_tell_the_same(checklist: Checklist) -> None:
    """Through the store, with the assessor's rights, the result of a seed is that
    without it; the trainee sees who looked."""
    with empty_store() as store:
        found = judged(store, checklist, WEAK, 4)
        looks = store.looks(TRAINEE, TRAINEE)

    assert found == watched(checklist, WEAK, 4)
    assert [one.reader for one in looks] == [ASSESSOR, TRAINEE]
