"""What the figures should come to, worked out in two ways."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from voicecheck.demo.recovery import truths
from voicecheck.demo.recovery.trainee import Trainee, Weaknesses
from voicecheck.round.answers import Severity
from voicecheck.statistics.agreement import Weights, weighted_kappa
from voicecheck.statistics.ordering import kendall

WEAK = Weaknesses()


def all_orders(items: int, swaps: float) -> dict[tuple[int, ...], float]:
    """Return every order that a trainee may take, with its chance, by trying all."""
    found: dict[tuple[int, ...], float] = {}
    for decisions in product((True, False), repeat=items):
        left, gone, chance, at = list(range(items)), [], 1.0, 0
        while left:
            swapped = decisions[at] and len(left) > 1
            if len(left) > 1:
                chance *= swaps if swapped else 1 - swaps
            gone += [left.pop(1), left.pop(0)] if swapped else [left.pop(0)]
            at += 1
        # decisions that were not asked for share the chance of the order
        found[tuple(gone)] = chance
    return found


@pytest.mark.parametrize("items", [2, 3, 6])
@pytest.mark.parametrize("swaps", [0.0, 0.15, 1.0])
def test_the_tau_to_be_expected(items: int, swaps: float) -> None:
    """The formula is the mean over every order that there can be."""
    orders = all_orders(items, swaps)
    mean = sum(
        chance * (kendall(range(items), order) or 0.0)
        for order, chance in orders.items()
    )

    assert sum(orders.values()) == pytest.approx(1)
    weak = Weaknesses(swaps=swaps)
    assert truths.order_tau(weak, items) == pytest.approx(mean)


def test_the_kappa_of_endless_severities() -> None:
    """The kappa of a table of the chances themselves, by `voicecheck.statistics`."""
    spread = {Severity.MINOR: 2.0, Severity.MAJOR: 3.0, Severity.CRITICAL: 1.0}
    table = np.zeros((3, 3))
    for true, share in spread.items():
        chances = np.full(3, WEAK.severity_error / 3)
        chances[true.rank] += 1 - WEAK.too_mild - WEAK.severity_error
        chances[max(0, true.rank - 1)] += WEAK.too_mild
        table[true.rank] = chances * share / 6
    found = weighted_kappa(table * 1e9, Weights.LINEAR).value

    assert truths.severity_kappa(WEAK, spread) == pytest.approx(found)


def test_who_makes_no_mistake_agrees() -> None:
    """The ends: no weakness, and only guesses."""
    spread = dict.fromkeys(Severity, 1.0)
    perfect = Weaknesses(too_mild=0, severity_error=0, swaps=0, passes_by=0)

    assert truths.severity_kappa(perfect, spread) == pytest.approx(1)
    guesses = Weaknesses(too_mild=0, severity_error=1)
    assert truths.severity_kappa(guesses, spread) == pytest.approx(0)
    assert truths.order_tau(perfect, 9) == 1
    assert truths.walked_d_prime(perfect) == pytest.approx(perfect.d_prime)
    assert truths.walked_criterion(perfect) == pytest.approx(perfect.criterion)


def test_passing_by_looks_like_leaning_to_good() -> None:
    """Fewer hits, as many false alarms: a lower d' and a higher criterion."""
    assert truths.walked_d_prime(WEAK) < WEAK.d_prime
    assert truths.walked_criterion(WEAK) > WEAK.criterion


DRAWS = 4000


def test_the_trainee_acts_on_its_weaknesses() -> None:
    """Of 4,000 draws of one seed every share lies within four standard errors of its
    chance: with another seed one of the five would fail once in 3,000 times."""
    trainee = Trainee(WEAK, 11)
    chances = {
        "hit": (truths.hit_rate(WEAK), lambda: trainee.calls_wrong(True)),
        "alarm": (truths.false_alarm_rate(WEAK), lambda: trainee.calls_wrong(False)),
        "looks": (1 - WEAK.passes_by, trainee.looks),
        "major as minor": (
            WEAK.too_mild + WEAK.severity_error / 3,
            lambda: trainee.severity(Severity.MAJOR) is Severity.MINOR,
        ),
        "first two swapped": (WEAK.swaps, lambda: trainee.order("abcd")[0] == "b"),
    }

    for name, (chance, act) in chances.items():
        seen = sum(act() for _ in range(DRAWS)) / DRAWS
        error = (chance * (1 - chance) / DRAWS) ** 0.5
        assert abs(seen - chance) < 4 * error, name
