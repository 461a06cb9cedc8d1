"""Plans: safe to put into a page, in one box, with every zone in its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from voicecheck.checklists import available, lint, load
from voicecheck.checklists.files import shipped_folder
from voicecheck.checklists.plan import (
    CLASSES,
    HEIGHT,
    WIDTH,
    Plan,
    load_plan,
    plan_style,
)
from voicecheck.errors import ChecklistError

NAMES = [item.name for item in available()]
GOOD = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600">'
    '<rect class="body" x="1" y="2" width="3" height="4"/></svg>'
)


@pytest.fixture
def truck(minimal: str, tmp_path: Path) -> Path:
    """A minimal checklist whose zones have no places, and a folder for its plan."""
    path = tmp_path / "small-truck.toml"
    path.write_text(minimal, encoding="utf-8")
    (tmp_path / "plans").mkdir()
    return path


def draw(truck: Path, svg: str) -> None:
    """Put a drawing beside a checklist."""
    (truck.parent / "plans" / "small-truck.svg").write_text(svg, encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_machine_has_a_plan(name: str) -> None:
    """Each has a drawing, and no two zones share a place on it."""
    assert load_plan(name) is not None
    places = [Plan.place(zone) for zone in load(name).zones]
    assert len(set(places)) == len(places)
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in places)


@pytest.mark.parametrize("name", NAMES)
def test_places_can_be_told_apart(name: str) -> None:
    """No two zones lie closer than 20 units: numbers on them stay readable."""
    places = [complex(*Plan.place(zone)) for zone in load(name).zones]
    gaps = [abs(a - b) for n, a in enumerate(places) for b in places[:n]]
    assert min(gaps) >= 20


def test_style_knows_every_class() -> None:
    """The usual style sheet draws each class, and fetches nothing."""
    style = plan_style()
    assert set(re.findall(r"\.plan \.([a-z]+)|, \.plan", style)) - {""} <= CLASSES
    assert all(f".plan .{name}" in style for name in CLASSES)
    assert "url(" not in style and "@import" not in style


def test_no_plan_is_no_problem(truck: Path) -> None:
    """A checklist does without a drawing, and then needs no places."""
    assert load_plan(truck) is None
    assert lint(truck) == ()


def test_a_zone_without_a_place_is_a_warning(truck: Path) -> None:
    """With a drawing, each zone that has no place is named."""
    draw(truck, GOOD)
    found = lint(truck)
    assert [str(p.severity) for p in found] == ["warning"] * 3
    assert "plan_x" in found[0].text and found[0].place == "zone outside"
    plan = load_plan(truck)
    assert plan is not None and 'class="body"' in plan.svg


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("0 0 400 600", "0 0 40 60", "viewBox"),
        ("</svg>", "<script>alert(1)</script></svg>", "<script> is not allowed"),
        ("</svg>", "<image x='1'/></svg>", "<image> is not allowed"),
        ("<rect ", "<rect onclick='x()' ", "take onclick out"),
        ("<rect ", "<rect style='fill:red' ", "take style out"),
        ("<rect ", "<rect fill='red' ", "take fill out"),
        ('class="body"', 'class="bonnet"', "needs one class"),
        ("</svg>", "", "not readable"),
        ("<svg", "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg", "document type"),
        ("<svg", "<!--" + "x" * 100_001 + "--><svg", "larger than"),
    ],
)
def test_what_may_run_or_be_fetched_is_refused(
    truck: Path, old: str, new: str, said: str
) -> None:
    """Lint tells it as an error, and loading the plan refuses."""
    draw(truck, GOOD.replace(old, new))
    assert any(said in p.text for p in lint(truck) if str(p.severity) == "error")
    with pytest.raises(ChecklistError, match=r"small-truck\.svg"):
        load_plan(truck)


def test_the_plans_come_with_the_package() -> None:
    """Each drawing belongs to a shipped checklist."""
    drawn = {path.stem for path in (shipped_folder() / "plans").glob("*.svg")}
    assert drawn == set(NAMES)
