"""The machine of the dialogue: its data, and where each trigger leads."""

from __future__ import annotations

import pytest
from transitions import MachineError

from voicecheck.dialogue.machine import (
    QUESTIONS,
    STEPS,
    DialogueMachine,
    State,
    Trigger,
)


def at(state: State, failures: int = 0) -> DialogueMachine:
    """Return a machine in a state, after some failures."""
    machine = DialogueMachine()
    if state is State.BEGUN:
        return machine
    machine.fire(Trigger.ASK)
    if state in QUESTIONS:
        machine.fire(QUESTIONS[state])
    else:
        machine.fire(
            {
                State.NOTING: Trigger.TAKE_NOTE,
                State.PAUSED: Trigger.PAUSE,
                State.OVER: Trigger.END,
            }[state]
        )
    for _ in range(failures):
        machine.fire(Trigger.FAIL)
    return machine


@pytest.mark.parametrize("state", State)
def test_every_state_is_reached(state: State) -> None:
    """By triggers alone, with no failure counted."""
    machine = at(state)

    assert (machine.state, machine.failures) == (state, 0)


@pytest.mark.parametrize("state", QUESTIONS)
def test_the_third_failure_puts_the_walk_aside(state: State) -> None:
    """Fresh, again, choices, then paused: at every question alike."""
    machine = at(state)
    seen = []
    while machine.state is state:
        seen.append(machine.failures)
        machine.fire(Trigger.FAIL)

    assert seen == list(range(len(STEPS)))
    assert machine.state is State.PAUSED


@pytest.mark.parametrize("state", [*QUESTIONS, State.NOTING, State.PAUSED])
@pytest.mark.parametrize("question", QUESTIONS)
def test_any_question_can_be_put_from_anywhere(state: State, question: State) -> None:
    """After failures, a note or a pause; its own count begins anew."""
    machine = at(state, failures=2 if state in QUESTIONS else 0)

    assert machine.fire(QUESTIONS[question]) is question
    assert machine.failures == 0


@pytest.mark.parametrize("trigger", Trigger)
def test_nothing_leaves_the_end(trigger: Trigger) -> None:
    """A dialogue that is over stays over."""
    with pytest.raises(MachineError):
        at(State.OVER).fire(trigger)


@pytest.mark.parametrize(
    ("state", "trigger"),
    [
        (State.BEGUN, Trigger.PAUSE),
        (State.BEGUN, Trigger.READ_BACK),
        (State.BEGUN, Trigger.FAIL),
        (State.NOTING, Trigger.FAIL),
        (State.NOTING, Trigger.END),
        (State.PAUSED, Trigger.FAIL),
        (State.PAUSED, Trigger.PAUSE),
        (State.PAUSED, Trigger.TAKE_NOTE),
        (State.PAUSED, Trigger.END),
    ],
)
def test_what_makes_no_sense_is_refused(state: State, trigger: Trigger) -> None:
    """The engine raises instead of guessing."""
    with pytest.raises(MachineError):
        at(state).fire(trigger)


def test_there_are_no_ways_but_the_ones_in_the_table() -> None:
    """No automatic transition to any state."""
    model = DialogueMachine()._model

    assert [name for name in dir(model) if name.startswith("to_")] == []
