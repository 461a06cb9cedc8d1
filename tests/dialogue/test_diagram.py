"""The diagrams of the state machines, drawn from their data."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.dialogue.diagram import diagram, dialogue_diagram, walk_diagram
from voicecheck.dialogue.machine import QUESTIONS, STEPS, TRANSITIONS, State
from voicecheck.round import phases

ROOT = Path(__file__).parents[2]
WALK = """\
stateDiagram-v2
  direction LR
  state "new" as new
  state "walking" as walking
  state walking {
    state "asking" as walking_asking
    state "climbing" as walking_climbing
  }
  state "summary" as summary
  state "signed" as signed
  state "declined" as declined
  state "stopped" as stopped
  new --> walking_asking: ask
  new --> walking_climbing: climb
  new --> summary: sum_up
  walking --> walking_asking: ask
  walking --> walking_climbing: climb
  walking --> summary: sum_up
  walking --> stopped: stop
  summary --> walking_asking: ask
  summary --> walking_climbing: climb
  summary --> summary: sum_up
  summary --> signed: sign
  summary --> declined: decline
  summary --> stopped: stop
  [*] --> new"""


def test_the_walk_is_drawn_as_it_is() -> None:
    """The whole picture, to be looked at when it changes."""
    assert walk_diagram() == WALK


def test_the_dialogue_is_drawn_with_every_state_and_way() -> None:
    """One node for each state and step, one arrow for each row of the table."""
    lines = dialogue_diagram().splitlines()

    for state in State:
        name = f"listening_{state}" if state in QUESTIONS else state.value
        assert any(line.strip() == f'state "{state}" as {name}' for line in lines)
    for step in STEPS:
        assert sum(f'state "{step}" as' in line for line in lines) == len(QUESTIONS)
    drawn = {line.strip() for line in lines if "-->" in line}
    for row in TRANSITIONS:
        sources = row["source"] if isinstance(row["source"], list) else [row["source"]]
        for source in sources:
            arrow = f"{source} --> {row['dest']}"
            assert any(
                line.startswith(f"{arrow}: ") and row["trigger"] in line
                for line in drawn
            ), arrow


def test_no_colour_carries_meaning() -> None:
    """Words only, so that every renderer and every eye reads the same."""
    for text in (dialogue_diagram(), walk_diagram()):
        assert "classDef" not in text
        assert "Class " not in text
        assert "fill" not in text


def test_any_machine_can_be_drawn() -> None:
    """The drawing depends on the data alone."""
    rows = [{"trigger": "go", "source": "here", "dest": "there"}]

    assert diagram(["here", "there"], rows, "here").splitlines() == [
        "stateDiagram-v2",
        "  direction LR",
        '  state "here" as here',
        '  state "there" as there',
        "  here --> there: go",
        "  [*] --> here",
    ]


def test_every_phase_is_drawn() -> None:
    """The picture of the walk has all its phases."""
    for phase in phases.Phase:
        assert f" {phase}" in walk_diagram()


@pytest.mark.parametrize("draw", [dialogue_diagram, walk_diagram])
def test_the_documents_show_the_present_diagram(draw: object) -> None:
    """DEVELOPERS.md holds both diagrams as the code draws them."""
    path = ROOT / "DEVELOPERS.md"
    if not path.exists():
        pytest.skip("DEVELOPERS.md is not written yet")
    assert callable(draw)

    assert f"```mermaid\n{draw()}\n```" in path.read_text(encoding="utf-8")
