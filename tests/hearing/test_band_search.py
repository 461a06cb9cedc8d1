"""The search for band gains against brute force and a general solver."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from voicecheck.hearing.band_search import (
    BandChoice,
    best_choice,
    is_reachable,
    is_reachable_at_any_energy,
    mildest_choice,
)
from voicecheck.hearing.errors import HearingError


def random_choice(seed: int, offers: int, bands: int, reach_db: float) -> BandChoice:
    """Value and energy that rise with gain, as those of a prompt do."""
    rng = np.random.default_rng(seed)
    gains = np.arange(offers, dtype=float)
    value = np.sort(rng.uniform(0, 1, (offers, bands)), axis=0)
    share = rng.dirichlet(np.ones(bands))
    energy = share * 10 ** ((gains[:, None] - offers * rng.uniform(0.2, 1.2)) / 10)
    return BandChoice(gains_db=gains, value=value, energy=energy, reach_db=reach_db)


def totals(choice: BandChoice, rows: tuple[int, ...]) -> tuple[float, float, float]:
    bands = range(len(rows))
    gains = choice.gains_db[list(rows)]
    return (
        float(choice.value[list(rows), list(bands)].sum()),
        float(choice.energy[list(rows), list(bands)].sum()),
        float(np.ptp(gains)) / 2,
    )


def brute_force(choice: BandChoice) -> list[tuple[float, float, float]]:
    offers, bands = choice.value.shape
    every = (
        totals(choice, rows) for rows in itertools.product(range(offers), repeat=bands)
    )
    return [t for t in every if t[1] <= 1 and t[2] <= choice.reach_db + 1e-9]


def rows_of(choice: BandChoice, found: tuple[float, np.ndarray]) -> tuple[int, ...]:
    common, changes = found
    return tuple(int(row) for row in np.round(common + changes))


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6), st.integers(2, 6), st.integers(2, 4), st.integers(0, 3))
def test_best_is_what_brute_force_finds(
    seed: int, offers: int, bands: int, reach: int
) -> None:
    """Over every setting there is, none is worth more (small cases)."""
    choice = random_choice(seed, offers, bands, float(reach))
    every = brute_force(choice)
    if not every:
        with pytest.raises(HearingError):
            best_choice(choice)
        return
    value, energy, stray = totals(choice, rows_of(choice, best_choice(choice)))

    assert value == pytest.approx(max(t[0] for t in every), abs=1e-8)
    assert energy <= 1 + 1e-9
    assert stray <= reach + 1e-9


@settings(deadline=None, max_examples=40)
@given(
    st.integers(0, 10**6),
    st.integers(2, 6),
    st.integers(2, 4),
    st.integers(0, 3),
    st.floats(0.1, 3),
)
def test_mildest_is_what_brute_force_finds(
    seed: int, offers: int, bands: int, reach: int, least: float
) -> None:
    """Found where there is one, within the same step of 1 dB, and quietest."""
    choice = random_choice(seed, offers, bands, float(reach))
    enough = [t for t in brute_force(choice) if t[0] >= least]
    found = mildest_choice(choice, least)

    assert is_reachable(choice, least) is bool(enough)
    assert (found is not None) is bool(enough)
    if found is not None:
        value, energy, stray = totals(choice, rows_of(choice, found))
        step = np.ceil(min(t[2] for t in enough))
        assert value >= least - 1e-9
        assert stray <= step
        assert energy == pytest.approx(min(t[1] for t in enough if t[2] <= step))


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_best_is_what_a_general_solver_finds(seed: int) -> None:
    """scipy's mixed-integer solver finds the same value with six bands."""
    choice = random_choice(seed, 40, 6, 6.0)
    value, _, _ = totals(choice, rows_of(choice, best_choice(choice)))

    assert value == pytest.approx(solver_value(choice), abs=1e-4)


def solver_value(choice: BandChoice) -> float:
    offers, bands = choice.value.shape
    gains = np.repeat(choice.gains_db[:, None], bands, axis=1).ravel()
    picks = np.tile(np.eye(bands), offers)
    column = np.ones((bands, 1))
    reach = choice.reach_db
    result = milp(
        np.append(-choice.value.ravel(), 0),
        integrality=np.append(np.ones(offers * bands), 0),
        bounds=Bounds(0, np.append(np.ones(offers * bands), gains.max())),
        constraints=[
            LinearConstraint(np.hstack([picks, 0 * column]), 1, 1),
            LinearConstraint(np.hstack([picks * gains, -column]), -reach, reach),
            LinearConstraint(np.append(choice.energy.ravel(), 0), ub=1),
        ],
    )
    assert result.success
    return float(-result.fun)


def test_energy_may_be_the_only_limit() -> None:
    """What only the sum of energy forbids is reachable at any energy."""
    choice = BandChoice(
        gains_db=np.array([0.0, 1.0]),
        value=np.array([[0.1, 0.1], [0.9, 0.9]]),
        energy=np.array([[0.1, 0.1], [2.0, 2.0]]),
        reach_db=1.0,
    )

    assert not is_reachable(choice, 1.0)
    assert is_reachable_at_any_energy(choice, 1.0)
    assert not is_reachable_at_any_energy(choice, 2.0)


def test_nothing_fits() -> None:
    """Where even the quietest setting is too loud the error says what to check."""
    choice = BandChoice(
        gains_db=np.array([0.0]),
        value=np.ones((1, 2)),
        energy=np.ones((1, 2)),
        reach_db=0.0,
    )

    with pytest.raises(HearingError, match="check the prompt's level"):
        best_choice(choice)
    assert mildest_choice(choice, 1.0) is None
