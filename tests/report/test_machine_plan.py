"""The drawing of a machine carries its own look."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from voicecheck.checklists.files import shipped_files
from voicecheck.checklists.plan import CLASSES
from voicecheck.report.machine_plan import OUTLINE, drawing, style_of


@pytest.mark.parametrize("name", [path.stem for path in shipped_files()])
def test_every_shape_of_every_plan_has_colours(name: str) -> None:
    """No class and no namespace is left, so that it can stand anywhere."""
    root = ET.fromstring(drawing(name))

    shapes = [element for element in root.iter() if element.tag != "g"]
    assert len(shapes) > 10
    for shape in root.iter():
        assert "class" not in shape.attrib and "{" not in shape.tag
    assert all({"fill", "stroke"} <= set(s.attrib) for s in shapes if s.tag != "desc")


@pytest.mark.parametrize("name", sorted(CLASSES))
def test_every_class_has_a_style(name: str) -> None:
    """From the style sheet that plans share."""
    assert {"fill", "stroke", "stroke-width"} <= set(style_of(name))


@pytest.mark.parametrize("name", ["my-own", "../../secret", "/etc/passwd", ""])
def test_a_machine_without_drawing_gets_an_outline(name: str) -> None:
    """The name comes from a record: it never becomes a path."""
    assert drawing(name) == OUTLINE
