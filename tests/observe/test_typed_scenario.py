"""Typed faults make a file that reads back as the same scenario."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from voicecheck.checklists.loader import load
from voicecheck.errors import ObserveError
from voicecheck.observe.scenario import PlantedFault, ReferenceTimes, problems
from voicecheck.observe.scenario_json import on_checklist, read_scenario
from voicecheck.observe.typed_scenario import planted, scenario_toml
from voicecheck.round.answers import (
    Defect,
    Fault,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    ReadingTaken,
    Severity,
)

LOADER = load("wheel-loader")
TEXTS = {
    'left_front_nuts: defect loose major; tag: a "yellow" tag: two o\'clock': (
        PlantedFault(
            checkpoint="left_front_nuts",
            expected=Defect(fault=Fault.LOOSE, severity=Severity.MAJOR),
            tag='a "yellow" tag: two o\'clock',
        )
    ),
    "loader_lines: leak hydraulic_oil III; shown: 사진 \\ 한 장": PlantedFault(
        checkpoint="loader_lines",
        expected=Leak(fluid="hydraulic_oil", leak_class=LeakClass.THREE),
        described="사진 \\ 한 장",
    ),
    "engine_oil_level: level low; shown: a dipstick": PlantedFault(
        checkpoint="engine_oil_level",
        expected=LevelSeen(level=Level.LOW),
        described="a dipstick",
    ),
    "left_front_pressure: reading 310.5; shown: a gauge": PlantedFault(
        checkpoint="left_front_pressure",
        expected=ReadingTaken(value=Decimal("310.5")),
        described="a gauge",
    ),
}


@pytest.mark.parametrize(("text", "fault"), TEXTS.items(), ids=range(len(TEXTS)))
def test_a_typed_fault(text: str, fault: PlantedFault) -> None:
    """Point, answer, and how it is shown."""
    assert planted(text) == fault


def test_the_file_reads_back(tmp_path: Path) -> None:
    """With quotation marks, backslashes, Hangul and times by zone."""
    path = tmp_path / "monday.toml"
    times = ReferenceTimes(source='M.Roe, "Monday"', zones={"cab": 61.5})
    faults = tuple(TEXTS.values())
    text = scenario_toml('A "title"', "wheel-loader", faults, times, ["horn"])
    path.write_text(text, encoding="utf-8")

    name, data = read_scenario(path)
    again = on_checklist(data, LOADER)

    assert name == "wheel-loader"
    assert (again.title, again.planted) == ('A "title"', faults)
    assert (again.left_out, again.reference) == (("horn",), times)
    assert problems(again, LOADER)[0].startswith("left_front_pressure: 310.5")


@pytest.mark.parametrize(
    "text",
    [
        "left_front_nuts",
        "left_front_nuts: defect loose major",
        "left_front_nuts: defect loose major; hung: there",
        "left_front_nuts: defect loose; tag: x",
        "left_front_nuts: defect lost major; tag: x",
        "left_front_nuts: good; tag: x",
        "left_front_nuts: reading many; tag: x",
    ],
)
def test_what_is_no_fault_is_refused(text: str) -> None:
    """The sentence holds what was typed and what is expected."""
    with pytest.raises(ObserveError):
        planted(text)
