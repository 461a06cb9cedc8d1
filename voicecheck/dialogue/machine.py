"""The state machine of the dialogue, as data, and at work.

Each state says what is being waited for. Inside a question the states are the
steps of escalation: `fresh`, then `again` after one failure, then `choices`
after two; the third failure puts the walk aside.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from transitions.extensions import HierarchicalMachine


class State(StrEnum):
    """What is being waited for."""

    BEGUN = "begun"
    """Nothing yet: the first turn has not been made."""
    ASKING = "asking"
    """A part of the answer to a checkpoint."""
    SKIPPING = "skipping"
    """The reason for leaving a checkpoint for later."""
    CONFIRMING = "confirming"
    """Yes or no to a read-back."""
    CLIMBING = "climbing"
    """Both feet down."""
    DECLARING = "declaring"
    """Yes or no to the declaration."""
    NOTING = "noting"
    """A spoken note, kept as sound."""
    PAUSED = "paused"
    """Carry on."""
    OVER = "over"
    """Nothing any more."""


class Trigger(StrEnum):
    """What moves the dialogue from state to state."""

    ASK = "ask"
    ASK_REASON = "ask_reason"
    READ_BACK = "read_back"
    AWAIT_CLIMB = "await_climb"
    ASK_DECLARATION = "ask_declaration"
    FAIL = "fail"
    TAKE_NOTE = "take_note"
    PAUSE = "pause"
    END = "end"


QUESTIONS = {
    State.ASKING: Trigger.ASK,
    State.SKIPPING: Trigger.ASK_REASON,
    State.CONFIRMING: Trigger.READ_BACK,
    State.CLIMBING: Trigger.AWAIT_CLIMB,
    State.DECLARING: Trigger.ASK_DECLARATION,
}
"""The states inside `listening`, each with the trigger that leads there."""
STEPS = ("fresh", "again", "choices")

_LISTENING = "listening"
_RETURNS = [_LISTENING, State.NOTING.value, State.PAUSED.value]
"""From here any question can be put, or put again."""
_OPENS = {Trigger.ASK, Trigger.AWAIT_CLIMB, Trigger.ASK_DECLARATION}
"""A walk, new or taken up again, begins with one of these."""

STATES: list[str | dict[str, Any]] = [
    State.BEGUN.value,
    {
        "name": _LISTENING,
        "children": [
            {"name": state.value, "initial": STEPS[0], "children": list(STEPS)}
            for state in QUESTIONS
        ],
    },
    State.NOTING.value,
    State.PAUSED.value,
    State.OVER.value,
]


def _row(trigger: Trigger, source: str | list[str], dest: str) -> dict[str, Any]:
    return {"trigger": trigger.value, "source": source, "dest": dest}


def _inside(state: State, step: str = "") -> str:
    return "_".join(filter(None, (_LISTENING, state.value, step)))


TRANSITIONS: list[dict[str, Any]] = [
    *(
        _row(trigger, State.BEGUN.value, _inside(state))
        for state, trigger in QUESTIONS.items()
        if trigger in _OPENS
    ),
    *(_row(trigger, _RETURNS, _inside(state)) for state, trigger in QUESTIONS.items()),
    *(
        _row(Trigger.FAIL, _inside(state, here), _inside(state, there))
        for state in QUESTIONS
        for here, there in (STEPS[0:2], STEPS[1:3])
    ),
    *(
        _row(Trigger.FAIL, _inside(state, STEPS[-1]), State.PAUSED.value)
        for state in QUESTIONS
    ),
    _row(Trigger.TAKE_NOTE, _LISTENING, State.NOTING.value),
    _row(Trigger.PAUSE, _LISTENING, State.PAUSED.value),
    _row(Trigger.END, [State.BEGUN.value, _LISTENING], State.OVER.value),
]


class DialogueMachine:
    """The machine at work. What `transitions` hangs on its model stays in here."""

    class _Model:
        state: str

    def __init__(self) -> None:
        self._model = self._Model()
        self._machine = HierarchicalMachine(
            model=self._model,
            states=STATES,
            transitions=TRANSITIONS,
            initial=State.BEGUN.value,
            auto_transitions=False,
        )

    @property
    def state(self) -> State:
        """What is being waited for."""
        parts = self._model.state.split("_")
        return State(parts[1] if parts[0] == _LISTENING else parts[0])

    @property
    def failures(self) -> int:
        """Failures in a row at this question: 0, 1 or 2."""
        last = self._model.state.split("_")[-1]
        return STEPS.index(last) if last in STEPS else 0

    def fire(self, trigger: Trigger) -> State:
        """Go where a trigger leads; return what is waited for then.

        Raises:
            transitions.MachineError: nowhere, from this state: a mistake of
                the program.
        """
        getattr(self._model, trigger.value)()
        return self.state
