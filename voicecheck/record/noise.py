"""How loud it was on a walk, from the events of its journal.

Kept beside the content: a typed walk with the same answers has the same
content, and no noise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from voicecheck.record.steps import NoiseMeasured, Step
from voicecheck.round.events import Observed

__all__ = ["noise", "quantile"]

_BEGINS, _ENDS = "noise_too_loud", "noise_quiet_again"


def noise(steps: Sequence[Step]) -> dict[str, Any]:
    """Return the part of a record about noise; empty when none was measured."""
    measured = [s.event for s in steps if isinstance(s.event, NoiseMeasured)]
    if not measured:
        return {}
    calibrations = {(event.full_scale_db, event.device) for event in measured}
    # levels of two calibrations cannot stand in one table: back to full scale
    scale_db, device = calibrations.pop() if len(calibrations) == 1 else (None, "")
    zones = dict.fromkeys(event.zone_id for event in measured)
    ratios = [s.how.snr_db for s in steps if s.how and s.how.snr_db is not None]
    return {
        "noise": {
            "unit": "dBFS(A)" if scale_db is None else "dB(A)",
            "full_scale_db": scale_db,
            "microphone": device or None,
            "zones": [
                {"zone": zone, **_levels(measured, zone, scale_db or 0.0)}
                for zone in zones
            ],
            "answers_snr_db": {
                "median": quantile(Counter(ratios), 0.5) if ratios else None,
                "lowest": min(ratios, default=None),
            },
            "too_loud": _times(steps),
        }
    }


def quantile(weights: Mapping[Any, float], share: float) -> Any:
    """Return the least value at or below which this share of the weight lies.

    Raises:
        ValueError: there is no weight.
    """
    wanted = share * sum(weights.values())
    so_far = 0.0
    for value in sorted(weights):
        so_far += weights[value]
        if so_far >= wanted - 1e-9 and so_far > 0:
            return value
    raise ValueError("nothing was measured: there is no quantile")


def _levels(
    measured: Iterable[NoiseMeasured], zone: str | None, scale_db: float
) -> dict[str, Any]:
    seconds: Counter[int] = Counter()
    for event in measured:
        if event.zone_id == zone:
            for level, held_s in event.seconds_at:
                seconds[level] += held_s  # type: ignore[assignment]
    return {
        "seconds": round(sum(seconds.values()), 3),
        "median": round(quantile(seconds, 0.5) + scale_db, 1),
        "percentile_90": round(quantile(seconds, 0.9) + scale_db, 1),
    }


def _times(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """Each time that it was too loud; one that never ended has no end."""
    times: list[dict[str, Any]] = []
    for step in steps:
        event = step.event
        if not isinstance(event, Observed) or event.kind not in (_BEGINS, _ENDS):
            continue
        if event.kind == _BEGINS:
            times.append(
                {"from_utc": step.at_utc, "to_utc": None, "detail": event.detail}
            )
        elif times:
            times[-1]["to_utc"] = step.at_utc
    return times
