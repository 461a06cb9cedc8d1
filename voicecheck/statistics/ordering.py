"""How far an order that was walked is from the order that was wanted."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Generic, TypeVar

from rapidfuzz.distance import Indel, Levenshtein

Item = TypeVar("Item", bound=Hashable)

LEAST_ITEMS = 2


def kendall(
    expected_order: Sequence[Hashable], walked_order: Sequence[Hashable]
) -> float | None:
    """Return Kendall's rank correlation of two orders, -1 … 1.

    Args:
        expected_order: each item once.
        walked_order: what was walked; an item that comes again counts at its
            first place, an item that is not expected does not count.

    Returns:
        1 when every pair keeps its order, -1 when every pair is turned round,
        None with fewer than two items in common: then there is no order.

    Raises:
        ValueError: an expected item stands twice.

    Source:
        Kendall 1938, Biometrika 30. No item stands twice, so there are no ties and
        τ_b is τ: pairs kept less pairs turned round, over all pairs.
    """
    rank = {item: at for at, item in enumerate(expected_order)}
    if len(rank) != len(expected_order):
        raise ValueError("an item stands twice in the expected order")
    walked = [rank[item] for item in dict.fromkeys(walked_order) if item in rank]
    if len(walked) < LEAST_ITEMS:
        return None
    kept = sum(before < after for before, after in combinations(walked, 2))
    return 2 * kept / (len(walked) * (len(walked) - 1) / 2) - 1


class EditKind(StrEnum):
    """What would have to be done to one item of a walk to make its order right."""

    MISSING = "missing"
    """It was expected and not walked."""
    EXTRA = "extra"
    """It was walked and not expected, or walked once more."""
    MOVED = "moved"
    """It was walked, but not in its place: one removal and one insertion."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EditStep(Generic[Item]):
    """One difference between two orders."""

    kind: EditKind
    item: Item
    after: Item | None
    """The item that comes before it in the expected order; None for the first,
    and for one that is not expected."""
    walked_after: Item | None
    """The item that came before it in the walk; None for the first, and for one
    that was not walked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edits(Generic[Item]):
    """All differences between two orders."""

    steps: tuple[EditStep[Item], ...]
    """In the order of the walk; what is missing stands where it was due."""
    distance: int
    """Removals and insertions: one for missing and extra, two for moved. A
    substitution counts as two."""
    levenshtein: int
    """Removals, insertions and substitutions, each counted as one."""


def edit_steps(expected: Sequence[Item], walked: Sequence[Item]) -> Edits[Item]:
    """Name the fewest steps that make the walked order the expected one.

    Source:
        Levenshtein 1966, Soviet Physics Doklady 10; with removals and insertions
        only it is what lies outside the longest common subsequence (Wagner &
        Fischer 1974). Computed by RapidFuzz.
    """
    out: list[tuple[int, Item]] = []
    into: list[tuple[int, int, Item]] = []
    for edit in Indel.editops(expected, walked):
        if edit.tag == "delete":
            into.append((edit.dest_pos, edit.src_pos, expected[edit.src_pos]))
        else:
            out.append((edit.dest_pos, walked[edit.dest_pos]))
    missing = [item for _, _, item in into]
    placed: list[tuple[int, EditStep[Item]]] = []
    for target, item in out:
        kind = EditKind.MOVED if item in missing else EditKind.EXTRA
        if kind is EditKind.MOVED:
            missing.remove(item)
        placed.append((target, _step(kind, item, expected, walked, target)))
    for target, source, item in into:
        if item in missing:
            missing.remove(item)
            before = expected[source - 1] if source else None
            step = EditStep(
                kind=EditKind.MISSING, item=item, after=before, walked_after=None
            )
            placed.append((target, step))
    placed.sort(key=lambda pair: pair[0])
    return Edits(
        steps=tuple(step for _, step in placed),
        distance=len(out) + len(into),
        levenshtein=Levenshtein.distance(expected, walked),
    )


def _step(
    kind: EditKind,
    item: Item,
    expected: Sequence[Item],
    walked: Sequence[Item],
    target: int,
) -> EditStep[Item]:
    due = list(expected).index(item) if kind is EditKind.MOVED else 0
    return EditStep(
        kind=kind,
        item=item,
        after=expected[due - 1] if due else None,
        walked_after=walked[target - 1] if target else None,
    )
