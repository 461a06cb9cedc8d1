"""Choose one gain for each band under a limit on the sum of energy.

Every band takes exactly one of the offered gains, the energies may not add up
to more than 1, and no band strays further than a reach from a common gain.

The search is exact. It slides a window of gains over the offers; inside one
window it lists every setting of the lower bands and of the upper bands, throws
away what another setting beats on both energy and value, and joins the two
lists by bisection (meet in the middle). Few windows get that far: most fail
on the best value or the least energy that they could have at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.hearing.errors import HearingError
from voicecheck.hearing.spectrum import Levels

__all__ = [
    "BandChoice",
    "best_choice",
    "is_reachable",
    "is_reachable_at_any_energy",
    "mildest_choice",
]

_BUDGET = 1 + 1e-12
_REACH_STEP_DB = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BandChoice:
    """What each of b bands may be set to: n gains, the same for all bands."""

    gains_db: Levels
    """Shape (n,), rising."""
    value: Levels
    """What a band at a gain is worth, shape (n, b)."""
    energy: Levels
    """What it costs, shape (n, b); the costs may add up to 1."""
    reach_db: float
    """Furthest that a band may stray from the middle of its window."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Front:
    """Settings of some bands, none beaten by another; energy and value rise."""

    energy: Levels
    value: Levels
    rows: NDArray[np.intp]
    """Offer taken by each band, shape (settings, bands)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pick:
    value: float
    energy: float
    rows: NDArray[np.intp]


def mildest_choice(
    choice: BandChoice, least_value: float
) -> tuple[float, Levels] | None:
    """Return the choice of least value or more whose gains differ least.

    The quietest of several is taken. The reach is tried in steps of 1 dB.

    Returns:
        common gain and each band's distance from it, shape (b,); None where
        nothing reaches the value.
    """
    if not is_reachable(choice, least_value):
        return None
    reaches = [
        *np.arange(0, choice.reach_db, _REACH_STEP_DB).tolist(),
        choice.reach_db,
    ]
    low, high = 0, len(reaches) - 1
    while low < high:
        middle = (low + high) // 2
        if _quietest(choice, reaches[middle], least_value) is None:
            low = middle + 1
        else:
            high = middle
    pick = _quietest(choice, reaches[low], least_value)
    return None if pick is None else _gains(choice, pick)


def is_reachable(choice: BandChoice, least_value: float) -> bool:
    """Tell whether any choice within the limits has this value or more."""
    return _quietest(choice, choice.reach_db, least_value) is not None


def is_reachable_at_any_energy(choice: BandChoice, least_value: float) -> bool:
    """Tell the same with no limit on the sum of energy."""
    return any(
        float(choice.value[rows].max(axis=0).sum()) >= least_value
        for rows in _stretches(choice, choice.reach_db)
    )


def best_choice(choice: BandChoice) -> tuple[float, Levels]:
    """Return the choice of most value, the mildest of several.

    Raises:
        HearingError: not even the quietest choice fits.
    """
    best: _Pick | None = None
    for rows in _windows(choice, choice.reach_db):
        limit = best.value if best else -np.inf
        if float(choice.value[rows].max(axis=0).sum()) <= limit:
            continue
        pick = _most_valuable(choice, rows)
        if pick is not None and pick.value > limit:
            best = pick
    if best is None:
        raise HearingError(
            "the prompt cannot be made quiet enough for the safe level: "
            "check the prompt's level at the ear and the limit"
        )
    mildest = mildest_choice(choice, best.value - 1e-9)
    return mildest if mildest is not None else _gains(choice, best)


def _stretches(choice: BandChoice, reach_db: float) -> Iterator[NDArray[np.intp]]:
    """Yield the offers within each stretch of twice the reach."""
    gains = choice.gains_db
    for start in range(gains.size):
        end = np.searchsorted(gains, gains[start] + 2 * reach_db + 1e-9, side="right")
        yield np.arange(start, int(end))


def _windows(choice: BandChoice, reach_db: float) -> Iterator[NDArray[np.intp]]:
    """Yield those stretches whose quietest setting is within the limit."""
    for rows in _stretches(choice, reach_db):
        if float(choice.energy[rows].min(axis=0).sum()) <= _BUDGET:
            yield rows


def _quietest(choice: BandChoice, reach_db: float, least_value: float) -> _Pick | None:
    best: _Pick | None = None
    for rows in _windows(choice, reach_db):
        if float(choice.value[rows].max(axis=0).sum()) < least_value:
            continue
        lower, upper = _halves(choice, rows)
        partner = np.searchsorted(upper.value, least_value - lower.value)
        fits = partner < upper.value.size
        if not fits.any():
            continue
        energy = np.full(lower.energy.size, np.inf)
        energy[fits] = lower.energy[fits] + upper.energy[partner[fits]]
        at = int(energy.argmin())
        pick = _join(lower, at, upper, int(partner[at]))
        if pick.energy <= (best.energy if best else _BUDGET):
            best = pick
    return best


def _most_valuable(choice: BandChoice, rows: NDArray[np.intp]) -> _Pick | None:
    lower, upper = _halves(choice, rows)
    partner = np.searchsorted(upper.energy, _BUDGET - lower.energy, side="right") - 1
    fits = partner >= 0
    if not fits.any():
        return None
    value = np.full(lower.value.size, -np.inf)
    value[fits] = lower.value[fits] + upper.value[partner[fits]]
    at = int(value.argmax())
    return _join(lower, at, upper, int(partner[at]))


def _halves(choice: BandChoice, rows: NDArray[np.intp]) -> tuple[_Front, _Front]:
    bands = choice.value.shape[1]
    middle = bands // 2
    return (
        _front(choice, rows, range(middle)),
        _front(choice, rows, range(middle, bands)),
    )


def _front(choice: BandChoice, rows: NDArray[np.intp], bands: range) -> _Front:
    grid = np.meshgrid(*(_worthwhile(choice, rows, b) for b in bands), indexing="ij")
    taken = np.stack([axis.ravel() for axis in grid], axis=1)
    energy = np.sum(choice.energy[taken, list(bands)], axis=1)
    value = np.sum(choice.value[taken, list(bands)], axis=1)
    order = np.lexsort((-value, energy))
    energy, value, taken = energy[order], value[order], taken[order]
    before = np.append(-np.inf, np.maximum.accumulate(value)[:-1])
    keep = value > before
    return _Front(energy=energy[keep], value=value[keep], rows=taken[keep])


def _worthwhile(
    choice: BandChoice, rows: NDArray[np.intp], band: int
) -> NDArray[np.intp]:
    """Leave out offers that cost more than another and are worth no more."""
    order = rows[np.lexsort((-choice.value[rows, band], choice.energy[rows, band]))]
    value = choice.value[order, band]
    before = np.append(-np.inf, np.maximum.accumulate(value)[:-1])
    return np.asarray(order[value > before], dtype=np.intp)


def _join(lower: _Front, at: int, upper: _Front, partner: int) -> _Pick:
    return _Pick(
        value=float(lower.value[at] + upper.value[partner]),
        energy=float(lower.energy[at] + upper.energy[partner]),
        rows=np.append(lower.rows[at], upper.rows[partner]),
    )


def _gains(choice: BandChoice, pick: _Pick) -> tuple[float, Levels]:
    gains = choice.gains_db[pick.rows]
    common = float((gains.min() + gains.max()) / 2)
    return common, np.asarray(gains - common, dtype=np.float64)
