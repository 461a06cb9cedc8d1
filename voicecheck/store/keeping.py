"""Which walks may be thrown away, and why the others may not.

Sources of the floor that no policy can lower:

* 30 CFR 56.14100(d): the record of a defect that affects safety is kept until
  the defect is corrected.
* PUWER 1998 reg. 6(3): the result of an inspection is kept until the next one
  is recorded; here the newest signed walk of each unit.
* A walk that is not finished is no record yet: it is kept to be resumed.

Above the floor the site says how many days to keep; 365 when it says nothing
(common practice, no source).
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from voicecheck.defects.story import Defect
from voicecheck.errors import UsageError
from voicecheck.store.ports import WalkRow


class Policy(BaseModel):
    """How long a site keeps records; a TOML file with these two keys."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    keep_days: int = Field(365, ge=0, le=36_500)
    """After a walk ended."""
    keep_days_after_correction: int = Field(0, ge=0, le=36_500)
    """After the last of its defects was corrected and checked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """May this walk go?"""

    walk: WalkRow
    reasons: tuple[str, ...]
    """Why it is kept; empty: it may go."""

    @property
    def may_go(self) -> bool:
        """Tell whether nothing asks for it to be kept."""
        return not self.reasons


def load_policy(path: Path | None) -> Policy:
    """Read a site's policy; None: the usual one.

    Raises:
        UsageError: the file cannot be read, or holds something else.
    """
    if path is None:
        return Policy(keep_days=365, keep_days_after_correction=0)
    try:
        return Policy.model_validate(tomllib.loads(path.read_text("utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UsageError(f"the policy {path} cannot be read: {error}") from error
    except ValidationError as error:
        problem = error.errors(include_url=False)[0]
        place = ".".join(str(part) for part in problem["loc"])
        raise UsageError(
            f"the policy {path}: {place}: {problem['msg']}; it takes keep_days and "
            "keep_days_after_correction, whole numbers of days"
        ) from error


def verdicts(
    walks: Iterable[WalkRow],
    defects_of: Mapping[str, Collection[Defect]],
    policy: Policy,
    now: datetime,
) -> tuple[Verdict, ...]:
    """Judge every walk of a store.

    Args:
        walks: all of them.
        defects_of: by walk, the defects that it found or saw again.
        policy: the site's.
        now: aware of its time zone.
    """
    every = tuple(walks)
    newest: dict[str, WalkRow] = {}
    for walk in every:
        if walk.record is None or walk.record.status != "signed":
            continue
        known = newest.get(walk.unit)
        if known is None or walk.last_utc > known.last_utc:
            newest[walk.unit] = walk
    return tuple(
        Verdict(
            walk=walk,
            reasons=_reasons(
                walk,
                defects_of.get(walk.walk_id, ()),
                policy,
                now,
                is_newest=newest.get(walk.unit) is walk,
            ),
        )
        for walk in every
    )


def _reasons(
    walk: WalkRow,
    defects: Collection[Defect],
    policy: Policy,
    now: datetime,
    *,
    is_newest: bool,
) -> tuple[str, ...]:
    reasons = []
    if walk.record is None:
        reasons.append("it is not finished: resume it first")
    if is_newest:
        reasons.append(
            "it is the newest signed walk of its unit (kept until the next one is "
            "recorded, as PUWER 1998 reg. 6(3))"
        )
    for defect in defects:
        if defect.open:
            reasons.append(
                f"defect {defect.defect_id[:8]} ({defect.title}) is not corrected and "
                "checked (30 CFR 56.14100(d))"
            )
    reasons += _by_policy(walk, defects, policy, now)
    return tuple(reasons)


def _by_policy(
    walk: WalkRow, defects: Collection[Defect], policy: Policy, now: datetime
) -> list[str]:
    until = _moment(walk.last_utc) + timedelta(days=policy.keep_days)
    closed = [defect.closed_utc for defect in defects if defect.closed_utc]
    if closed:
        after = timedelta(days=policy.keep_days_after_correction)
        until = max(until, _moment(max(closed)) + after)
    if now < until:
        return [f"the site keeps it until {until:%Y-%m-%d}"]
    return []


def _moment(utc: str) -> datetime:
    return datetime.fromisoformat(utc)
