"""One question as it stands: enough to ask it again after anything else."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.dialogue.machine import State
from voicecheck.dialogue.objection import Objection
from voicecheck.dialogue.turns import Listen, Say
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checkpoint
from voicecheck.speech.ports import Hypothesis


@dataclass(frozen=True, slots=True, kw_only=True)
class PendingAnswer:
    """A whole answer that waits for yes."""

    checkpoint: Checkpoint
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question that was put and has no answer yet.

    It outlives pauses, notes, help and lost devices: whatever comes between,
    the same question is put again.
    """

    state: State
    """Of the machine, while it is waited for the answer."""
    prompt: Say
    """The question alone, without what was said before it."""
    listen: Listen
    repeated: tuple[Say, ...] = ()
    """Said before the prompt when the operator asks to repeat."""
    pending: PendingAnswer | None = None
    """In `State.CONFIRMING`: what yes would confirm."""
    objection: Objection | None = None
    """In `State.CONFIRMING`: how likely a no is; None: as likely as a yes."""
    control: Hypothesis | None = None
    """In `State.CONFIRMING`: the control word that yes would obey."""
    last_chance: bool = False
    """In `State.DECLARING`: no was said once; the next no declines."""
