"""Units and defects from a real store, with what happens to a defect."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from uuid import uuid4

from voicecheck.testing.browsing import Browsing

if TYPE_CHECKING:
    from conftest import Place


def test_units_that_must_not_work_come_first(yard: Browsing) -> None:
    """With their status in words and how many defects are open."""
    page = yard.open("/")

    assert page.index(">L-1<") < page.index(">L-2<")
    assert "Out of service" in page
    assert "May work" in page
    assert "Open defects: 1" in page


def test_units_are_searched_and_filtered(yard: Browsing) -> None:
    """By name and by status."""
    assert ">L-2<" not in yard.open("/?search=l-1")
    assert ">L-1<" not in yard.open("/?status=may_work")


def test_a_defect_has_its_story(yard: Browsing) -> None:
    """From the list to what was found, when, by whom, and its walk."""
    page = yard.open("/defects?severity=major&search=wheel")
    [address] = set(re.findall(r"/defects/[0-9a-f-]{36}", page))

    story = yard.open(address)

    assert "left wheel? " in story
    assert "loose, major" in story
    assert "by J.Doe" in story
    assert "competent person" in story
    [record] = set(re.findall(r"/records/[0-9a-f-]{36}", story))
    assert "Record of L-1" in yard.open(record)


def test_filters_that_fit_nothing(yard: Browsing) -> None:
    """An empty list that says so."""
    assert "0 of 1 open defects" in yard.open("/defects?severity=minor")
    assert "0 of 0 open defects" in yard.open("/defects?unit=L-2")


def test_a_defect_that_is_not_there(yard: Browsing) -> None:
    """A page that says so."""
    yard.open(f"/defects/{uuid4()}")

    assert yard.status == 404


def test_a_record_says_how_each_answer_came_in(yard: Browsing) -> None:
    """Beside the answers, on the page itself."""
    record = re.findall(r"/records/[0-9a-f-]{36}", yard.open("/units/L-1"))[0]

    page = yard.open(record)

    assert "How each answer came in (10)" in page
    assert "Confirmed: typed. Tries: 1" in page


def test_every_export_is_a_file(yard: Browsing) -> None:
    """By a name that the request has no part in."""
    record = re.findall(r"/records/[0-9a-f-]{36}", yard.open("/units/L-1"))[0]

    heads = {"json": b"{", "csv": b"", "html": b"<!DOCTYPE html>", "pdf": b"%PDF-"}
    for name, head in heads.items():
        answer = yard.client.get(f"{record}/export/{name}")
        assert answer.status_code == 200
        assert answer.content.lstrip().startswith(head)
        wanted = f'attachment; filename="walk-{record[9:]}.{name}"'
        assert answer.headers["content-disposition"] == wanted
    assert yard.client.get(f"{record}/export/exe").status_code == 422


def test_an_altered_record_is_not_shown(yard: Browsing, place: Place) -> None:
    """The page says that it was altered; no export of it either."""
    record = re.findall(r"/records/[0-9a-f-]{36}", yard.open("/units/L-1"))[0]
    file = place.home / f"{record[1:]}.json"
    file.write_text(file.read_text("utf-8").replace("J.Doe", "A.Nother"), "utf-8")

    yard.open(record)

    assert yard.status == 409
    assert "altered" in yard.text
    assert yard.client.get(f"{record}/export/json").status_code == 409


def test_a_unit_out_of_service_is_not_walked_as_fit(yard: Browsing) -> None:
    """The tag and the open defects are shown; nothing begins."""
    yard.open("/walks/new")

    yard.send("/walks", unit="L-1", checklist="wheel-loader")

    assert yard.status in {400, 409}
    assert "out of service" in yard.text
    assert "left wheel?" in yard.text
