"""Loading by name and by path, the errors, and the rules of a site."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path

import pytest

from voicecheck.checklists import available, load, unfit_answers
from voicecheck.errors import ChecklistError
from voicecheck.round.answers import Answer, Defect, Fault, Severity
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome, Place
from voicecheck.round.decision import decide

Write = Callable[..., Path]

SITE = """
format = 1

[[rules]]
id = "site_wipers"
outcome = "out_of_service"
text = "Here nobody works without wipers."
source = "site rule"
answers = ["defect"]
checkpoints = ["wipers"]
"""


def test_available() -> None:
    """The wheel loader walk comes with the package and names its languages."""
    found = {item.name: item for item in available()}
    assert found["wheel-loader"].languages[0] == "en"
    assert found["wheel-loader"].title == "Wheel loader walkaround"
    for item in found.values():
        for language in item.languages:
            assert load(item.name, language).language == language


def test_all_fields_arrive(minimal: str, write: Write) -> None:
    """What the file says is what the core gets."""
    checklist = load(write(minimal))
    assert checklist.name == "small-truck"
    assert checklist.cautions == ("The manual comes first.",)
    assert checklist.fluid("fuel").unit == "L"
    assert [zone.place for zone in checklist.zones] == [
        Place.GROUND,
        Place.CAB,
        Place.GROUND,
    ]
    horn = checklist.checkpoint("horn")
    assert (horn.zone_id, horn.kind) == ("inside", CheckpointKind.FUNCTION)
    assert (horn.hazards, horn.tags) == (("Nobody near.",), ("horn",))
    spec = checklist.checkpoint("restriction").reading
    assert spec is not None
    assert (spec.high, spec.plausible_max) == (Decimal("6.2"), Decimal(12))
    assert checklist.checkpoint("fuel_level").level_of == "fuel"
    assert checklist.checkpoint("cab_empty").stop_text == "Get them out first."


def test_numbers_stay_exact(minimal: str, write: Write) -> None:
    """A limit of 6.2 is exactly 6.2, not the nearest binary fraction."""
    spec = load(write(minimal)).checkpoint("restriction").reading
    assert spec is not None
    assert str(spec.high) == "6.2"


def test_usual_climb_caution_is_filled_in(minimal: str, write: Write) -> None:
    """A zone without a caution of its own gets the usual one of the file."""
    checklist = load(write(minimal))
    assert checklist.zone("end").climb_caution == "Three points of contact."
    assert checklist.zone("inside").climb_caution.startswith("Mind the step.")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("no-such-walk", "name one of .*wheel-loader"),
        ("no-such-file.toml", "no such checklist file"),
        ("wheel-loader.ko", "there is no checklist"),
        ("../secret", "there is no checklist"),
    ],
)
def test_unknown_name(name: str, said: str) -> None:
    """A name that does not exist is refused with the names that do."""
    with pytest.raises(ChecklistError, match=said):
        load(name)


def test_not_toml(minimal: str, write: Write) -> None:
    """A file that is not TOML is refused with the line."""
    path = write(minimal, ("format = 1", "format ="))
    with pytest.raises(ChecklistError, match=r"small-truck\.toml.*line 2"):
        load(path)


def test_not_utf8(tmp_path: Path) -> None:
    """A file in another encoding is refused with what to do."""
    path = tmp_path / "bad.toml"
    path.write_bytes(b'name = "\xff\xfe"')
    with pytest.raises(ChecklistError, match="save it as UTF-8"):
        load(path)


def test_folder_is_no_file(tmp_path: Path) -> None:
    """A folder in place of a site rules file is a clear error, not a crash."""
    with pytest.raises(ChecklistError, match="cannot be read"):
        load("wheel-loader", site_rules=tmp_path)


def test_many_problems_are_counted(minimal: str, write: Write) -> None:
    """The error shows the first problems and how many more there are."""
    path = write(minimal, ('why = "', 'wy = "'))
    with pytest.raises(ChecklistError, match="and 5 more"):
        load(path)


def test_unknown_language() -> None:
    """A language without a translation is refused with those that exist."""
    with pytest.raises(ChecklistError, match=r"choose one of en.*xx\.toml"):
        load("wheel-loader", "xx")


def test_site_rule_tightens(
    wheel_loader: Checklist,
    answers_for: Callable[..., Mapping[str, Answer]],
    write: Write,
) -> None:
    """A rule of the site is added to all others and makes the outcome stricter."""
    site = load("wheel-loader", site_rules=write(SITE, name="site.toml"))
    bad = Defect(fault=Fault.WORN, severity=Severity.MINOR)
    answers = answers_for(wheel_loader, wipers=bad)
    usual = decide(wheel_loader, answers, finished=True)
    assert usual.outcome is Outcome.MAY_WORK_WITH_DEFECTS
    strict = decide(site, answers, finished=True)
    assert strict.outcome is Outcome.OUT_OF_SERVICE
    assert strict.reasons[0].source == "site rule"
    assert site.rules[:-1] == wheel_loader.rules
    assert site.sha256 != wheel_loader.sha256


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('"out_of_service"', '"may_work"'), "a site can only tighten"),
        (('"site_wipers"', '"horn_defect"'), "this id is taken"),
        (('["wipers"]', '["wipres"]'), "checkpoint 'wipres'"),
        (('answers = ["defect"]', 'fluids = ["beer"]'), "fluid 'beer'"),
        (('source = "site rule"', 'sauce = "site rule"'), "not known"),
    ],
)
def test_site_rule_is_refused(write: Write, change: tuple[str, str], said: str) -> None:
    """A rule that would release, replace, or never apply is refused."""
    with pytest.raises(ChecklistError, match=said):
        load("wheel-loader", site_rules=write(SITE, change, name="site.toml"))


def test_unfit_answers_name_their_rule(wheel_loader: Checklist) -> None:
    """For each checkpoint one can ask which answers stop the machine, and why."""
    found = unfit_answers(wheel_loader, wheel_loader.checkpoint("horn"))
    minor = next(
        item
        for item in found
        if isinstance(item.answer, Defect) and item.answer.severity is Severity.MINOR
    )
    assert minor.outcome is Outcome.OUT_OF_SERVICE
    assert minor.rule_ids == ("horn_defect",)
