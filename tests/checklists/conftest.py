"""A minimal checklist as text, and ways to write and change it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path

import pytest

from voicecheck.checklists import load
from voicecheck.round.answers import Answer, Good, Level, LevelSeen, ReadingTaken, Yes
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind

MINIMAL = """
format = 1
name = "small-truck"
version = "1.0.0"
language = "en"
title = "Small truck walkaround"
machine = "small truck"
climb_caution = "Three points of contact."
declaration = "I looked at all of it."
cautions = ["The manual comes first."]

[[fluids]]
id = "fuel"
name = "fuel"
unit = "L"

[[zones]]
id = "outside"
title = "outside"
place = "ground"
from_station = "gate"
to_station = "step"

[[zones.checkpoints]]
id = "cab_empty"
kind = "start"
prompt = "Is the cab empty?"
look = "Look in."
wrong = "Somebody is in."
why = "They may drive off."
stop_text = "Get them out first."
tags = ["start"]

[[zones.checkpoints]]
id = "fuel_level"
kind = "level"
prompt = "Fuel level?"
look = "The gauge."
wrong = "Low."
why = "It stops."
level_of = "fuel"
fluids = ["fuel"]
tags = ["fuel"]

[[zones]]
id = "inside"
title = "inside"
place = "cab"
from_station = "step"
to_station = "seat"
climb_caution = "Mind the step. Three points of contact."

[[zones.checkpoints]]
id = "horn"
kind = "function"
prompt = "Horn?"
hazards = ["Nobody near."]
look = "Sound it."
wrong = "Silent."
why = "It warns."
tags = ["horn"]

[[zones.checkpoints]]
id = "restriction"
kind = "reading"
prompt = "Restriction?"
look = "The gauge."
wrong = "High."
why = "It chokes."
reading = { quantity = "pressure", unit = "kPa", plausible_min = 0, \
plausible_max = 12, high = 6.2, limits_source = "an example" }

[[zones]]
id = "end"
title = "the end"
place = "ground"
from_station = "seat"
to_station = "gate"

[[zones.checkpoints]]
id = "last_look"
kind = "condition"
prompt = "Ground?"
look = "Under it."
wrong = "Wet."
why = "It leaks."

[[rules]]
id = "start_no"
outcome = "out_of_service"
text = "Not safe to begin."
source = "an example"
answers = ["no"]

[[rules]]
id = "any_bad"
outcome = "may_work_with_defects"
text = "Report it."
source = "an example"
answers = ["defect", "leak", "could_not_check"]

[[rules]]
id = "level_low"
outcome = "may_work_with_defects"
text = "Fill it."
source = "an example"
levels = ["low", "empty"]

[[rules]]
id = "reading_high"
outcome = "may_work_with_defects"
text = "Report it."
source = "an example"
reading_states = ["high"]

[[rules]]
id = "horn_bad"
outcome = "out_of_service"
text = "A horn must work."
source = "an example"
answers = ["defect"]
tags = ["horn"]

[[rules]]
id = "fuel_leaks"
outcome = "out_of_service"
text = "No fuel leaks."
source = "an example"
answers = ["leak"]
fluids = ["fuel"]
"""

TRANSLATION = """
format = 1
checklist = "small-truck"
checklist_version = "1.0.0"
language = "ko"
title = "소형 트럭 점검"
machine = "소형 트럭"
climb_caution = "세 점을 잡고 오르내리십시오."
declaration = "모두 확인했습니다."
cautions = ["설명서가 먼저입니다."]

[fluids]
fuel = "연료"

[zones]
outside = { title = "바깥" }
inside = { title = "운전실", climb_caution = "발판을 조심하십시오." }
end = { title = "마지막" }

[checkpoints.cab_empty]
prompt = "운전실이 비어 있습니까?"
look = "안을 보십시오."
wrong = "사람이 있다."
why = "움직일 수 있다."
stop_text = "먼저 내리게 하십시오."

[checkpoints.fuel_level]
prompt = "연료량은?"
look = "계기를 보십시오."
wrong = "부족하다."
why = "멈춘다."

[checkpoints.horn]
prompt = "경음기는?"
hazards = ["주위를 확인하십시오."]
look = "울려 보십시오."
wrong = "소리가 없다."
why = "알려 준다."

[checkpoints.restriction]
prompt = "막힘 지시값은?"
look = "계기를 보십시오."
wrong = "높다."
why = "막힌다."

[checkpoints.last_look]
prompt = "바닥은?"
look = "아래를 보십시오."
wrong = "젖었다."
why = "샌다."

[rules]
start_no = "시작하면 안 됩니다."
any_bad = "보고하십시오."
level_low = "채우십시오."
reading_high = "보고하십시오."
horn_bad = "경음기가 울려야 합니다."
fuel_leaks = "연료가 새면 안 됩니다."
"""

Write = Callable[..., Path]


@pytest.fixture
def minimal() -> str:
    """Text of a checklist file that has no problem."""
    return MINIMAL


@pytest.fixture
def translation() -> str:
    """Text of a complete translation of the minimal checklist."""
    return TRANSLATION


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a changed copy of a text and return its path.

    `write(text, ("old", "new"), ..., name="small-truck.toml")`; each old text
    must occur, so that a change that no longer fits fails the test.
    """

    def _write(
        text: str, *changes: tuple[str, str], name: str = "small-truck.toml"
    ) -> Path:
        for old, new in changes:
            assert old in text, f"{old!r} is not in the text"
            text = text.replace(old, new)
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    return _write


@pytest.fixture(scope="session")
def wheel_loader() -> Checklist:
    """The shipped wheel loader walk in English."""
    return load("wheel-loader")


def all_good(checklist: Checklist, **but: Answer) -> Mapping[str, Answer]:
    """Return an answer for every checkpoint, all well except those given."""
    answers = {point.id: _good(point) for point in checklist.checkpoints}
    unknown = set(but) - set(answers)
    assert not unknown, f"no such checkpoints: {unknown}"
    return answers | but


def _good(point: Checkpoint) -> Answer:
    if point.kind is CheckpointKind.START:
        return Yes()
    if point.kind is CheckpointKind.LEVEL:
        return LevelSeen(level=Level.FULL)
    if point.reading is not None:
        spec = point.reading
        low = spec.low if spec.low is not None else spec.plausible_min
        return ReadingTaken(value=low + Decimal(1))
    return Good()


@pytest.fixture(scope="session")
def answers_for() -> Callable[..., Mapping[str, Answer]]:
    """Give `all_good` to tests."""
    return all_good
