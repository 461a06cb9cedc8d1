"""The plan view of a machine: a drawing from above in which zones have a place.

It lies at `plans/<name>.svg` beside its checklist: front up, in a view box of
400 by 600. A zone's `plan_x` and `plan_y` (0 to 1) are fractions of that box.
Shapes carry a class of `CLASSES` and no colours, so that one style sheet fits
every machine; `plans/plan.css` is the usual one. Only plain shapes are allowed:
a drawing is put into pages as it stands, so it must hold nothing that runs or
is fetched.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from voicecheck.checklists import files
from voicecheck.checklists.problems import Problem, ProblemSeverity, error, warning
from voicecheck.checklists.schema import ChecklistFile
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import Zone

WIDTH, HEIGHT = 400, 600
"""Of the view box; 1 unit is no length on the machine."""

CLASSES = frozenset(
    {"body", "cab", "glass", "tyre", "track", "work", "cylinder"}
    | {"joint", "access", "detail"}
)
"""What a shape is. `work`: boom, bucket, blade, dump body; `joint`: pivots and
axles; `access`: steps, walkways, mirrors; `detail`: lines without filling."""

_SVG = "{http://www.w3.org/2000/svg}"
_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline"}) | {
    "polygon"
}
_WITHOUT_CLASS = frozenset({"svg", "g", "title", "desc"})
_ATTRIBUTES = frozenset(
    {"class", "viewBox", "transform", "d", "points", "x", "y", "width", "height"}
    | {"rx", "ry", "cx", "cy", "r", "x1", "y1", "x2", "y2"}
)
_LONGEST_BYTES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A checked drawing."""

    svg: str
    """One `svg` element in a view box of `WIDTH` by `HEIGHT`."""

    @staticmethod
    def place(zone: Zone) -> tuple[float, float]:
        """Return where a zone lies in the view box, x to the right, y down."""
        return zone.plan_x * WIDTH, zone.plan_y * HEIGHT


def plan_path(checklist_path: Path) -> Path:
    """Return where the plan of a checklist file lies, there or not."""
    return checklist_path.parent / "plans" / f"{checklist_path.stem}.svg"


def load_plan(name_or_path: str | Path) -> Plan | None:
    """Return the plan of a checklist, or None when it has none.

    Args:
        name_or_path: of the checklist, as for `voicecheck.checklists.load`.

    Raises:
        ChecklistError: there is no such checklist, or its plan is not allowed.
    """
    path = plan_path(files.find(name_or_path))
    if not path.is_file():
        return None
    root, problems = _read(path)
    wrong = tuple(p for p in problems if p.severity is ProblemSeverity.ERROR)
    if root is None or wrong:
        raise files.refused(path, wrong)
    ET.register_namespace("", _SVG.strip("{}"))
    return Plan(svg=ET.tostring(root, encoding="unicode"))


def plan_style() -> str:
    """Return the usual style sheet, for plans inside an element of class plan."""
    path = files.shipped_folder() / "plans" / "plan.css"
    return path.read_text(encoding="utf-8")


def check_plan(checklist_path: Path, file: ChecklistFile) -> tuple[Problem, ...]:
    """Return what is wrong with the plan of a checklist and its zones' places."""
    path = plan_path(checklist_path)
    if not path.is_file():
        return ()
    _, problems = _read(path)
    return (*problems, *_without_place(file))


def _without_place(file: ChecklistFile) -> Iterator[Problem]:
    for zone in file.zones:
        if not {"plan_x", "plan_y"} <= zone.model_fields_set:
            yield warning(
                f"zone {zone.id}",
                "has no place on the plan; give it plan_x and plan_y, 0 to 1",
            )


def _read(path: Path) -> tuple[ET.Element | None, tuple[Problem, ...]]:
    place = f"plans/{path.name}"
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise ChecklistError(f"{path}: cannot be read: {problem.strerror}") from problem
    if len(data) > _LONGEST_BYTES:
        text = f"is larger than {_LONGEST_BYTES} bytes; draw it simpler"
        return None, (error(place, text),)
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        return None, (error(place, "take the document type out; svg needs none"),)
    try:
        root = ET.fromstring(data.decode("utf-8"))  # noqa: S314 (no DTD, small)
    except (ET.ParseError, UnicodeDecodeError) as problem:
        return None, (error(place, f"is not readable as SVG in UTF-8: {problem}"),)
    return root, tuple(_drawing(place, root))


def _drawing(place: str, root: ET.Element) -> Iterator[Problem]:
    box = f"0 0 {WIDTH} {HEIGHT}"
    if root.tag != f"{_SVG}svg" or root.get("viewBox") != box:
        yield error(place, f'must be one svg element with viewBox="{box}"')
    for element in root.iter():
        yield from _element(place, element)


def _element(place: str, element: ET.Element) -> Iterator[Problem]:
    name = element.tag.removeprefix(_SVG)
    if name not in _SHAPES | _WITHOUT_CLASS:
        yield error(place, f"<{name}> is not allowed; draw with plain shapes")
        return
    for key in element.keys():  # noqa: SIM118 (an Element is no dict)
        if key not in _ATTRIBUTES:
            yield error(place, f"<{name}>: take {key} out; a class says what it is")
    if name in _SHAPES and element.get("class") not in CLASSES:
        known = ", ".join(sorted(CLASSES))
        yield error(place, f"<{name}> needs one class of {known}")
