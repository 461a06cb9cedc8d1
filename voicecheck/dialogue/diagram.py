"""Draw the state machines as Mermaid diagrams, from their data.

The drawing is that of the library `transitions`; its colours are left out, and
so is its title, which Mermaid does not read.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from transitions.extensions.diagrams import HierarchicalGraphMachine

from voicecheck.dialogue import machine
from voicecheck.round import phases


def diagram(
    states: Sequence[str | dict[str, Any]],
    transitions: Sequence[dict[str, Any]],
    initial: str,
) -> str:
    """Return the Mermaid text of a state machine."""
    drawn = HierarchicalGraphMachine(
        states=list(states),
        transitions=list(transitions),
        initial=initial,
        auto_transitions=False,
        graph_engine="mermaid",
    )
    lines = (drawn.get_combined_graph().draw(None) or "").splitlines()
    body = lines[lines.index("stateDiagram-v2") :]
    kept = [line.rstrip() for line in body if line.split()[:1] != ["Class"]]
    return "\n".join(
        line for line in kept if line and not line.lstrip().startswith("classDef")
    )


def dialogue_diagram() -> str:
    """Return the diagram of the dialogue."""
    initial = machine.State.BEGUN.value
    return diagram(machine.STATES, machine.TRANSITIONS, initial)


def walk_diagram() -> str:
    """Return the diagram of the walk."""
    return diagram(phases.STATES, phases.TRANSITIONS, phases.Phase.NEW.value)
