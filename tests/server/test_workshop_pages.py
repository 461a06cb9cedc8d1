"""Repairs, checks and releases in a browser: the steps of the commands, no others."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING
from urllib.parse import quote
from uuid import uuid4

import pytest
from pypdf import PdfReader

from voicecheck.defects.events import (
    RepairChecked,
    RepairDone,
    RepairStarted,
    StillThere,
    UnitReleased,
)
from voicecheck.defects.hold import seen_mark
from voicecheck.defects.story import DefectState
from voicecheck.testing.browsing import Browsing, Forms

if TYPE_CHECKING:
    from conftest import Place

DONE = {
    "by": "M.Roe",
    "done": "new nuts,\r\n torqued",
    "parts": "8 nuts",
    "hours": "1,5",
}


def address(place: Place) -> str:
    """Return the page of the one open defect."""
    [defect] = place.fleet.open_defects()
    return f"/defects/{defect.defect_id}"


def events(place: Place) -> list[object]:
    """Return what has happened to the one defect, who did it first."""
    [defect] = place.fleet.defects()
    return [(one.by, one.event) for one in place.fleet.defect(defect.defect_id).story][
        1:
    ]


def repaired(place: Place, yard: Browsing) -> str:
    """Repair the one open defect; return its page's address."""
    where = address(place)
    yard.open(where)
    yard.send(f"{where}/repaired", **DONE)
    return where


def test_from_found_to_released(place: Place, yard: Browsing) -> None:
    """Every step is an event of the same kind as with the commands."""
    where = address(place)
    yard.open(where)
    yard.send(f"{where}/start", by="M.Roe", note="this morning")
    assert "Written down." in yard.text
    assert "being repaired" in yard.text
    yard.send(f"{where}/repaired", **DONE)
    assert "repaired, not checked yet" in yard.text
    yard.send(f"{where}/checked", by="C.Poe", good="no", note="one is loose")
    yard.send(f"{where}/repaired", **{**DONE, "parts": "", "hours": ""})
    yard.send(f"{where}/checked", by="C.Poe", good="yes")
    assert "repaired and checked" in yard.text
    yard.open("/units/L-1/release")
    yard.send("/units/L-1/release", by="C.Poe", note="all good", sure="yes")

    assert yard.address == "/walks/new"
    assert "L-1 is released. Now walk round it" in yard.text
    assert events(place) == [
        ("M.Roe", RepairStarted(note="this morning")),
        ("M.Roe", RepairDone(done="new nuts, torqued", parts="8 nuts", hours_h=1.5)),
        ("C.Poe", RepairChecked(good=False, note="one is loose")),
        ("M.Roe", RepairDone(done="new nuts, torqued")),
        ("C.Poe", RepairChecked(good=True)),
        ("C.Poe", UnitReleased(note="all good")),
    ]
    yard.send("/walks", unit="L-1", checklist="short-walk")
    assert yard.address.startswith("/walks/")
    assert "Before you begin" in yard.text


def test_a_release_checks_what_nobody_has_checked(place: Place, yard: Browsing) -> None:
    """By the same person; the page says so before."""
    repaired(place, yard)
    yard.open("/units/L-1/release")
    assert "written down as checked by you" in yard.text

    yard.send("/units/L-1/release", by="C.Poe", sure="yes")

    assert events(place)[1:] == [
        ("C.Poe", RepairChecked(good=True)),
        ("C.Poe", UnitReleased()),
    ]


@pytest.mark.parametrize(
    ("form", "fields", "sentence"),
    [
        ("start", {"by": " "}, "Say who it was."),
        ("start", {"by": "<b>"}, "A name begins with"),
        ("start", {"by": "x" * 65}, "A name begins with"),
        ("repaired", {"by": "M.Roe", "done": " "}, "Say what was done."),
        ("repaired", {"by": "", "done": "kept <i>text</i>"}, "kept &lt;i&gt;text"),
        *(
            ("repaired", {**DONE, "hours": hours}, "Hours are a number")
            for hours in ("-1", "nan", "inf", "two", "1e9", "100000")
        ),
    ],
)
def test_a_form_that_says_too_little(
    place: Place, yard: Browsing, form: str, fields: dict[str, str], sentence: str
) -> None:
    """Nothing is written; the page says what is wrong and keeps what was typed."""
    where = address(place)
    yard.open(where)

    yard.send(f"{where}/{form}", **fields)

    assert yard.status == 422
    assert "Not written down. Correct" in yard.text
    assert sentence in yard.text
    assert events(place) == []


@pytest.mark.parametrize("good", ["", "YES", "maybe"])
def test_only_yes_is_good(place: Place, yard: Browsing, good: str) -> None:
    """A check that says neither is no check."""
    where = repaired(place, yard)

    yard.send(f"{where}/checked", by="C.Poe", good=good)

    assert yard.status == 422
    assert place.fleet.open_defects()[0].state is DefectState.REPAIRED


def test_a_step_from_an_old_page_is_not_taken(place: Place, yard: Browsing) -> None:
    """Somebody else has written since: the page shows it, the text stays."""
    where = address(place)
    old = yard.open(where)
    other = Browsing(place.start())
    repaired(place, other)
    seen = {"seen": re.findall(r'name="seen" value="(\w+)"', old)[0]}

    yard.send(f"{where}/start", by="M.Roe", **seen)

    assert yard.status == 409
    assert "somebody has written about this" in yard.text
    assert [type(event) for _, event in events(place)] == [RepairDone]


def test_a_check_does_not_cover_what_was_seen_since(
    place: Place, yard: Browsing
) -> None:
    """A walk that finds the defect again makes the open page an old one."""
    where = repaired(place, yard)
    defect = place.fleet.open_defects()[0]
    [first] = place.fleet.defect(defect.defect_id).story[:1]
    place.workshop.record(
        defect.defect_id,
        StillThere(sighting=first.event.sighting),  # type: ignore[union-attr]
        at=place.clock.now(),
        by="J.Doe",
    )

    yard.send(f"{where}/checked", by="C.Poe", good="yes")

    assert yard.status == 409
    assert place.fleet.open_defects()[0].state is DefectState.FOUND


def test_a_walk_on_a_held_unit_shows_its_tag(place: Place, yard: Browsing) -> None:
    """However it is asked for; the release is offered only when it can be had."""
    yard.open("/walks/new")
    yard.send("/walks", unit="L-1", checklist="short-walk")
    assert yard.status == 409
    for part in ("DANGER", "DO NOT OPERATE", "L-1 is out of service", "loose, major"):
        assert part in yard.text
    assert "cannot be released yet" in yard.text
    assert not [
        action for action, _, _ in Forms(yard.text).found if "release" in action
    ]
    assert len(place.fleet.walks("L-1")) == 1

    repaired(place, yard)
    yard.open("/walks/new?unit=L-1")
    actions = [action for action, _, _ in Forms(yard.text).found]
    assert actions == ["/units/L-1/release", "/language"]


def test_a_walk_that_was_left_is_not_taken_up_on_a_held_unit(
    place: Place, yard: Browsing
) -> None:
    """The tag instead, with nothing written into the walk."""
    walk_id = yard.begin("L-2", "short-walk")
    yard.send(f"/walks/{walk_id}/command", command="pause")
    held = Browsing(place.start())  # after a restart nothing is in hand
    before = place.journal.entries(walk_id)
    _find_on(place, "L-2")

    held.open(f"/walks/{walk_id}")
    held.send(f"/walks/{walk_id}/resume")

    assert held.status == 409
    assert "L-2 is out of service" in held.text
    assert place.journal.entries(walk_id) == before


def _find_on(place: Place, unit: str) -> None:
    """Let another walk find what keeps a unit out of service."""
    from voicecheck.form.filling import fill
    from voicecheck.round.answers import Defect, Fault, Severity
    from voicecheck.store.session import WalkSession
    from voicecheck.testing.small_checklist import good_answers, small_checklist

    session = WalkSession.start(
        place.journal, place.clock, small_checklist(), unit=unit, folder=place.home
    )
    bad = Defect(fault=Fault.LOOSE, severity=Severity.MAJOR)
    fill(session, {**good_answers(), "left_wheel": bad})
    session.finish()


@pytest.mark.parametrize(
    ("fields", "status"),
    [
        ({"by": "C.Poe"}, 422),
        ({"by": "C.Poe", "sure": "no"}, 422),
        ({"by": "", "sure": "yes"}, 422),
        ({"by": "C.Poe", "sure": "yes", "seen": "old"}, 409),
    ],
    ids=["not sure", "no", "nobody", "an old page"],
)
def test_what_is_no_release(
    place: Place, yard: Browsing, fields: dict[str, str], status: int
) -> None:
    """The machine stays out of service, and the page says why."""
    repaired(place, yard)
    yard.open("/units/L-1/release")

    yard.send("/units/L-1/release", **fields)

    assert yard.status == status
    assert place.fleet.open_defects()[0].holding


def test_an_unrepaired_unit_is_not_released(place: Place, yard: Browsing) -> None:
    """Not even by somebody who makes the form up."""
    yard.open(address(place))
    _, hidden, _ = Forms(yard.text).found[0]
    data = {**hidden, "by": "C.Poe", "sure": "yes"}
    data["seen"] = seen_mark(place.fleet.open_defects("L-1"))

    answer = yard.client.post("/units/L-1/release", data=data)

    assert answer.status_code == 409
    assert place.fleet.open_defects()[0].holding


def test_a_unit_in_service_has_no_release(yard: Browsing) -> None:
    """Its page instead; and no tag."""
    yard.open("/units/L-2/release")
    assert yard.address == "/units/L-2"

    assert yard.client.get("/units/L-2/tag").status_code == 404


def test_the_tag_sheet(yard: Browsing) -> None:
    """A PDF with what a tag says; read back as text.

    Source: 29 CFR 1910.145(f), 1910.147(c)(5).
    """
    answer = yard.client.get("/units/L-1/tag")

    assert answer.headers["content-type"] == "application/pdf"
    text = PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()
    for part in ("DANGER", "DO NOT OPERATE", "L-1", "loose, major", "J.Doe"):
        assert part in text


@pytest.mark.parametrize("path", ["start", "repaired", "checked"])
def test_forged_and_oversized_forms(place: Place, yard: Browsing, path: str) -> None:
    """Refused before anything is looked up; nothing is written."""
    where = f"{address(place)}/{path}"
    fields = {"by": "M.Roe", "done": "x", "good": "yes", "seen": "x"}
    assert yard.client.post(where, data=fields).status_code == 422
    forged = {**fields, "form_token": "0" * 64}
    assert yard.client.post(where, data=forged).status_code == 403
    yard.open(address(place))
    token = Forms(yard.text).found[0][1]["form_token"]
    long = {**fields, "form_token": token, "by": "x" * 300, "note": "x" * 501}
    assert yard.client.post(where, data=long).status_code == 422
    assert yard.client.post(where, data={"note": "x" * 70_000}).status_code == 413

    assert events(place) == []


def test_a_defect_that_is_not_there(yard: Browsing, place: Place) -> None:
    """A page that says so."""
    yard.open(address(place))
    _, hidden, _ = Forms(yard.text).found[0]

    answer = yard.client.post(
        f"/defects/{uuid4()}/start", data={**hidden, "by": "M.Roe"}
    )

    assert answer.status_code == 404
    assert "no such defect" in answer.text


def test_hostile_text_stays_text(place: Place, yard: Browsing) -> None:
    """In the story, and after a form that was not taken."""
    evil = "<script>alert(1)</script>\"'{{ 7*7 }}"
    where = address(place)
    yard.open(where)
    yard.send(f"{where}/repaired", by="M.Roe", done=evil, parts=evil)
    yard.send(f"{where}/checked", by="", good="no", note=evil)

    assert yard.status == 422
    assert "<script>alert" not in yard.text
    assert yard.text.count("&lt;script&gt;alert(1)") == 3
    unit = quote("../../etc", safe="")
    assert yard.client.get(f"/units/{unit}/release").status_code in {400, 404}


def test_in_korean(place: Place, yard: Browsing) -> None:
    """Tag, findings and forms; the checklist's own words stay as they are."""
    yard.open("/")
    yard.send("/language", language="ko")
    yard.open("/units/L-1/release")
    for part in ("위험", "운전 금지", "L-1 사용 금지", "풀림, 중대"):
        assert part in yard.text
    where = repaired(place, yard)
    yard.send(f"{where}/checked", by="", good="yes")

    assert "누구인지 적으십시오" in yard.text
    assert "수리 확인" in yard.text
