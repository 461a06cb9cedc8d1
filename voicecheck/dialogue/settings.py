"""How the operator wants to be talked to."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.speech.ports import Recogniser

__all__ = ["DialogueSettings", "settings_for"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DialogueSettings:
    """Manners and patience of a conversation."""

    confirm_always: bool = False
    """Read back and ask for yes after every answer."""
    full: bool = False
    """Say the explanations for learners with every prompt."""
    timeout_s: float = 12.0
    """Silence until noinput at the first asking: the operator must look first."""
    retry_timeout_s: float = 8.0
    """Silence until noinput after a first failure."""
    paused_timeout_s: float = 60.0
    """The same during a climb and while the walk is put aside."""
    moves_odds: bool = False
    """Whether what the walk tells moves odds; see `habit` and `objection`."""
    engine: str = ""
    """Name of the recogniser, as the record shows it."""


def settings_for(
    recogniser: Recogniser, *, confirm_always: bool = False, full: bool = False
) -> DialogueSettings:
    """Return the settings of a conversation that this recogniser hears."""
    return DialogueSettings(
        confirm_always=confirm_always,
        full=full,
        moves_odds=getattr(recogniser, "odds_tried", False),
        engine=recogniser.name,
    )
