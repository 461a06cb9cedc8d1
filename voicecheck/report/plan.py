"""Where the numbers of findings are drawn on the plan view of the machine."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH = 400.0
"""Of the drawing, in the units of the plans of checklists."""
HEIGHT = 600.0
MARK_RADIUS = 12.0
_GAP = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A number on the plan view."""

    number: int
    x: float
    """Centre of the mark, 0 … WIDTH."""
    y: float
    """0 … HEIGHT."""
    anchor_x: float
    """The place of the zone, where a line from the mark ends."""
    anchor_y: float
    alone_unfit: bool
    """Whether this finding alone puts the machine out of service."""

    @property
    def has_line(self) -> bool:
        """Tell whether the mark stands so far from its place that it needs a line."""
        away = math.hypot(self.x - self.anchor_x, self.y - self.anchor_y)
        return away > MARK_RADIUS


def marks(
    wanted: Sequence[tuple[int, float, float, bool]],
) -> tuple[Mark, ...]:
    """Place numbers without covering one with another.

    Args:
        wanted: number, x and y of its zone (each 0 … 1), and whether the
            finding alone puts the machine out of service; in drawing order.

    Returns:
        One mark each, at its place or at the nearest free place beside it.
    """
    placed: list[Mark] = []
    for number, share_x, share_y, alone_unfit in wanted:
        anchor_x = _inside(share_x * WIDTH, WIDTH)
        anchor_y = _inside(share_y * HEIGHT, HEIGHT)
        x, y = _free_place(anchor_x, anchor_y, placed)
        placed.append(
            Mark(
                number=number,
                x=round(x, 1),
                y=round(y, 1),
                anchor_x=round(anchor_x, 1),
                anchor_y=round(anchor_y, 1),
                alone_unfit=alone_unfit,
            )
        )
    return tuple(placed)


def _free_place(x: float, y: float, placed: Sequence[Mark]) -> tuple[float, float]:
    """Look outward in rings of twelve until a place is free."""
    step = MARK_RADIUS + _GAP
    for ring in range(60):
        for turn in range(12 if ring else 1):
            angle = turn * math.tau / 12
            at_x = _inside(x + ring * step * math.cos(angle), WIDTH)
            at_y = _inside(y + ring * step * math.sin(angle), HEIGHT)
            if all(
                math.hypot(at_x - mark.x, at_y - mark.y) >= 2 * MARK_RADIUS + _GAP
                for mark in placed
            ):
                return at_x, at_y
    return x, y


def _inside(value: float, size: float) -> float:
    edge = MARK_RADIUS + _GAP
    return min(max(value, edge), size - edge)
