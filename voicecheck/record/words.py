"""The texts and limits that somebody needs to read a record years later."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from typing import Any

from voicecheck.round.checklist import ReadingSpec
from voicecheck.round.walk import Walk


def words(walk: Walk, checkpoint_ids: Collection[str]) -> dict[str, Any]:
    """Return the checklist's texts in the language of the walk, as JSON data.

    Args:
        walk: the walk.
        checkpoint_ids: the points that the record speaks of.
    """
    checklist = walk.checklist
    points = [point for point in checklist.checkpoints if point.id in checkpoint_ids]
    hits = [hit for finding in walk.findings for hit in finding.rules]
    return {
        "language": checklist.language,
        "title": checklist.title,
        "machine": checklist.machine,
        "zones": [
            {
                "zone": zone.id,
                "title": zone.title,
                "plan_x": zone.plan_x,
                "plan_y": zone.plan_y,
            }
            for zone in checklist.zones
        ],
        "prompts": {point.id: point.prompt for point in points},
        "fluids": {fluid.id: fluid.name for fluid in checklist.fluids},
        "limits": {
            point.id: _limits(point.reading) for point in points if point.reading
        },
        "rules": {hit.rule_id: hit.text for hit in (*walk.decision.reasons, *hits)},
        "declaration": checklist.declaration,
        "cautions": list(checklist.cautions),
    }


def _limits(spec: ReadingSpec) -> dict[str, Any]:
    return {
        "unit": spec.unit,
        "far_low": _number(spec.far_low),
        "low": _number(spec.low),
        "high": _number(spec.high),
        "far_high": _number(spec.far_high),
        "source": spec.limits_source,
    }


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
