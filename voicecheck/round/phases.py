"""The phases of a walk as a hierarchical state machine, as data."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from transitions.extensions import HierarchicalMachine


class Phase(StrEnum):
    """Where a walk stands; `walking_` marks the states inside walking."""

    NEW = "new"
    ASKING = "walking_asking"
    CLIMBING = "walking_climbing"
    SUMMARY = "summary"
    SIGNED = "signed"
    DECLINED = "declined"
    STOPPED = "stopped"


FINAL = (Phase.SIGNED, Phase.DECLINED, Phase.STOPPED)

STATES: list[dict[str, Any] | str] = [
    "new",
    {"name": "walking", "children": ["asking", "climbing"]},
    "summary",
    "signed",
    "declined",
    "stopped",
]

TRANSITIONS: list[dict[str, Any]] = [
    {
        "trigger": "ask",
        "source": ["new", "walking", "summary"],
        "dest": Phase.ASKING.value,
    },
    {
        "trigger": "climb",
        "source": ["new", "walking", "summary"],
        "dest": Phase.CLIMBING.value,
    },
    {
        "trigger": "sum_up",
        "source": ["new", "walking", "summary"],
        "dest": Phase.SUMMARY.value,
    },
    {"trigger": "sign", "source": "summary", "dest": Phase.SIGNED.value},
    {"trigger": "decline", "source": "summary", "dest": Phase.DECLINED.value},
    {"trigger": "stop", "source": ["walking", "summary"], "dest": Phase.STOPPED.value},
]


class PhaseMachine:
    """The machine at work. What `transitions` hangs on its model stays in here."""

    class _Model:
        state: str

    def __init__(self) -> None:
        self._model = self._Model()
        self._machine = HierarchicalMachine(
            model=self._model,
            states=STATES,
            transitions=TRANSITIONS,
            initial=Phase.NEW.value,
            auto_transitions=False,
        )

    @property
    def phase(self) -> Phase:
        """Where the walk stands."""
        return Phase(self._model.state)

    def fire(self, trigger: str) -> None:
        """Go where the trigger leads; `Walk.check` lets no other one through."""
        getattr(self._model, trigger)()
