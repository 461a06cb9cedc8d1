"""The state machine of the dialogue, as data.

Each state says what is being waited for. The inner states of `asking`,
`confirming` and `declaring` are the steps of escalation: `fresh`, then `again`
after one failure, then `choices` after two; the third failure offers a pause.
"""

from __future__ import annotations

from typing import Any

from transitions.extensions import HierarchicalMachine

_STEPS = ["fresh", "again", "choices"]
_ASKS = ("asking", "skipping", "confirming", "climbing", "declaring")

STATES: list[str | dict[str, Any]] = [
    "begun",
    *({"name": name, "initial": "fresh", "children": _STEPS} for name in _ASKS),
    "noting",
    "paused",
    "over",
]

_OPEN = [*_ASKS, "begun", "noting", "paused"]

TRANSITIONS: list[dict[str, Any]] = [
    {"trigger": "ask", "source": _OPEN, "dest": "asking"},
    {"trigger": "ask_why_skip", "source": ["asking", "skipping"], "dest": "skipping"},
    {"trigger": "read_back", "source": [*_ASKS], "dest": "confirming"},
    {"trigger": "await_climb", "source": _OPEN, "dest": "climbing"},
    {"trigger": "ask_declaration", "source": _OPEN, "dest": "declaring"},
    {"trigger": "take_note", "source": [*_ASKS], "dest": "noting"},
    {"trigger": "pause", "source": [*_ASKS, "begun", "noting"], "dest": "paused"},
    {"trigger": "end", "source": _OPEN, "dest": "over"},
    *(
        {"trigger": "fail", "source": f"{name}_{here}", "dest": f"{name}_{there}"}
        for name in _ASKS
        for here, there in (("fresh", "again"), ("again", "choices"))
    ),
    *(
        {"trigger": "fail", "source": f"{name}_choices", "dest": "paused"}
        for name in _ASKS
    ),
]


def machine(model: object) -> HierarchicalMachine:
    """Return the machine of a dialogue, without automatic transitions."""
    return HierarchicalMachine(
        model=model,
        states=STATES,
        transitions=TRANSITIONS,
        initial="begun",
        auto_transitions=False,
    )
