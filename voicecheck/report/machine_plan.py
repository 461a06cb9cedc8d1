"""The drawing of a machine from above, as pages and PDF need it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from functools import cache

from voicecheck.checklists.files import shipped_files
from voicecheck.checklists.plan import load_plan, plan_style

Style = Mapping[str, str]

OUTLINE = (
    '<g><rect x="120" y="60" width="160" height="480" rx="16" fill="#f4f4f4"'
    ' stroke="#1a1a1a" stroke-width="2" /></g>'
)
"""Stands for a machine without a drawing, so that places still can be shown."""

_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline"}) | {
    "polygon"
}


@cache
def drawing(checklist: str) -> str:
    """Return a machine's shapes as one `<g>`, in a box of 400 by 600.

    Every shape carries its colours itself, so that the drawing looks the same
    in a page, in a PDF, and in whatever it is copied to.

    Args:
        checklist: name of a checklist as a record has it; one that does not
            come with voicecheck, or has no plan, gets `OUTLINE`.
    """
    names = {path.stem for path in shipped_files()}
    plan = load_plan(checklist) if checklist in names else None
    if plan is None:
        return OUTLINE
    root = ET.fromstring(plan.svg)  # noqa: S314 (checked by load_plan)
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
        name = element.attrib.pop("class", "")
        if element.tag in _SHAPES:
            element.attrib.update(style_of(name))
    root.tag = "g"
    root.attrib.clear()
    for title in root.findall("title"):
        root.remove(title)
    return ET.tostring(root, encoding="unicode")


@cache
def style_of(name: str) -> Style:
    """Return the presentation attributes of a class of shapes."""
    text = _COMMENT.sub("", plan_style())
    style: dict[str, str] = {}
    for selectors, body in _RULE.findall(text):
        names = {part.strip() for part in selectors.split(",")}
        if names & {".plan [class]", f".plan .{name}"}:
            parts = (line.split(":") for line in body.split(";") if ":" in line)
            style |= {key.strip(): value.strip() for key, value in parts}
    return style
