"""What a walk wants to happen next."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.round.checklist import Checkpoint, Place, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class AskCheckpoint:
    """Ask this point now."""

    checkpoint: Checkpoint
    returning: bool
    """True when it was skipped before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """Wait until both feet are down in the place of this zone."""

    zone: Zone
    origin: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class SumUp:
    """Read out the findings and the decision, and ask for the declaration."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """The walk has ended."""


Task = AskCheckpoint | Climb | SumUp | Over
