"""A walk in a browser: one POST an answer, kept before the next page."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest

from voicecheck.round import events as ev
from voicecheck.round.answers import (
    Answer,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    ReadingTaken,
    Severity,
    Yes,
)
from voicecheck.store.session import WalkSession, replayed
from voicecheck.testing.browsing import Browsing, Forms
from voicecheck.testing.filling import fill

if TYPE_CHECKING:
    from conftest import Place

ANSWERS: dict[str, Answer] = {
    "protective_gear": Yes(),
    "cab_empty": Yes(),
    "left_front_pressure": ReadingTaken(value=Decimal(450)),
    "bucket_welds": Good(),
    "bucket_teeth": Defect(fault=Fault.WORN, severity=Severity.MINOR),
    "loader_cylinders": Leak(fluid="hydraulic_oil", leak_class=LeakClass.ONE),
    "engine_oil_level": LevelSeen(level=Level.BETWEEN),
    "fan_guard": Good(),
    "left_steps": Good(),
    "hydraulic_tank": Good(),
    "ground_after_run": Good(),
}


def answers_of(place: Place) -> dict[str, Answer]:
    """Return an answer for every point of the checklist, whatever it asks."""
    return {point.id: ANSWERS[point.id] for point in place.checklist.checkpoints}


def kept(place: Place, walk_id: str) -> dict[str, Answer]:
    """Return what the journal holds."""
    return replayed(place.checklist, place.journal.entries(walk_id)).answers


def test_a_whole_walk_has_the_content_hash_of_the_typed_one(
    place: Place, visitor: Browsing
) -> None:
    """The same answers, by buttons here and from an answers file there."""
    other = WalkSession.start(
        place.journal,
        place.clock,
        place.checklist,
        unit="L-12",
        operator="J.Doe",
        mode="typed",
        folder=place.home,
    )
    fill(other, answers_of(place))
    typed = json.loads(other.finish().path.read_text("utf-8"))

    walk_id = visitor.begin("L-12", "short-walk", "J.Doe")
    visitor.answer(walk_id, place.journal, place.checklist, answers_of(place))
    assert "Findings: 2" in visitor.text
    visitor.press(walk_id, "yes")

    assert visitor.address == f"/records/{walk_id}"
    record = json.loads((place.home / "records" / f"{walk_id}.json").read_text("utf-8"))
    assert record["content_sha256"] == typed["content_sha256"]
    assert record["walk"]["mode"] == "browser"
    assert {how["mode"] for how in record["how"]} == {"browser"}
    assert record["content"]["status"] == "signed"


def test_each_answer_is_kept_before_the_next_page(
    place: Place, visitor: Browsing
) -> None:
    """When the page of the second point comes, the journal has the first answer."""
    walk_id = visitor.begin("L-12", "short-walk")
    first = place.checklist.checkpoints[0].id

    visitor.press(walk_id, "yes")

    assert kept(place, walk_id) == {first: Yes()}
    assert "Recorded." in visitor.text


def test_a_press_on_an_older_page_is_not_taken(place: Place, visitor: Browsing) -> None:
    """Two quick presses of one button answer one point, not two."""
    walk_id = visitor.begin("L-12", "short-walk")
    address = f"/walks/{walk_id}/answer"
    hidden = next(h for a, h, _ in Forms(visitor.text).found if a == address)

    for _ in range(2):
        page = visitor.client.post(address, data={**hidden, "meaning": "yes"})

    assert len(kept(place, walk_id)) == 1
    assert "older page" in page.text


def test_an_answer_that_is_not_offered_changes_nothing(
    place: Place, visitor: Browsing
) -> None:
    """ "good" is no answer to a start check, whatever a request says."""
    walk_id = visitor.begin("L-12", "short-walk")

    visitor.press(walk_id, "good")

    assert kept(place, walk_id) == {}
    assert "Nothing is recorded" in visitor.text


def test_a_walk_goes_on_after_the_server_died(place: Place, visitor: Browsing) -> None:
    """A new server shows it as left; nothing is recorded by looking."""
    walk_id = visitor.begin("L-12", "short-walk")
    answers = answers_of(place)
    visitor.answer(walk_id, place.journal, place.checklist, answers, "bucket_teeth")
    visitor.press(walk_id, "defect")  # half an answer: never recorded
    before = place.journal.entries(walk_id)

    again = Browsing(place.start())
    again.open(f"/walks/{walk_id}")
    assert "put aside" in again.text
    assert place.journal.entries(walk_id) == before

    again.send(f"/walks/{walk_id}/resume")
    again.answer(walk_id, place.journal, place.checklist, answers)
    again.press(walk_id, "yes")
    assert again.address == f"/records/{walk_id}"
    assert kept(place, walk_id) == answers


def test_a_spoken_walk_is_finished_in_the_browser(
    place: Place, visitor: Browsing
) -> None:
    """Whoever began it, and however, it is one walk."""
    spoken = WalkSession.start(
        place.journal, place.clock, place.checklist, unit="L-12", folder=place.home
    )
    first = place.checklist.checkpoints[0].id
    spoken.commit(
        ev.AnswerConfirmed(checkpoint_id=first, answer=Yes()),
        ev.How(mode="spoken", confirmed_by="explicit"),
    )

    visitor.open(f"/walks/{spoken.walk_id}")
    visitor.send(f"/walks/{spoken.walk_id}/resume")
    visitor.answer(spoken.walk_id, place.journal, place.checklist, answers_of(place))
    visitor.press(spoken.walk_id, "yes")

    assert visitor.address == f"/records/{spoken.walk_id}"


def test_another_program_on_the_same_walk_is_noticed(
    place: Place, visitor: Browsing
) -> None:
    """Nothing is recorded over it; the page says so and the walk can be taken up."""
    walk_id = visitor.begin("L-12", "short-walk")
    WalkSession.resume(
        place.journal, place.clock, place.checklist, unit="L-12", folder=place.home
    )

    visitor.press(walk_id, "yes")

    assert visitor.status == 503
    assert kept(place, walk_id) == {}
    assert "put aside" in visitor.open(f"/walks/{walk_id}")


def test_take_back(place: Place, visitor: Browsing) -> None:
    """The last answer is withdrawn and asked again."""
    walk_id = visitor.begin("L-12", "short-walk")
    asked = place.checklist.checkpoints[0].prompt
    visitor.press(walk_id, "yes")

    visitor.send(f"/walks/{walk_id}/command", command="back")

    assert kept(place, walk_id) == {}
    assert f"<h1>{asked}</h1>" in visitor.text


def test_take_back_a_part(place: Place, visitor: Browsing) -> None:
    """A finding begun by mistake is not recorded."""
    walk_id = visitor.begin("L-12", "short-walk")
    visitor.answer(
        walk_id, place.journal, place.checklist, answers_of(place), "bucket_welds"
    )
    visitor.press(walk_id, "defect")
    assert ("meaning", "cracked") in visitor.buttons()

    visitor.send(f"/walks/{walk_id}/command", command="back")

    assert ("meaning", "good") in visitor.buttons()
    assert "bucket_welds" not in kept(place, walk_id)


def test_skip_with_a_reason(place: Place, visitor: Browsing) -> None:
    """The point comes back at the end; a start check cannot be skipped."""
    walk_id = visitor.begin("L-12", "short-walk")
    assert ("command", "skip") not in visitor.buttons()
    visitor.answer(
        walk_id, place.journal, place.checklist, answers_of(place), "bucket_welds"
    )

    visitor.send(f"/walks/{walk_id}/command", command="skip")
    visitor.press(walk_id, "too_dark")

    last = place.journal.entries(walk_id)[-1].event
    assert isinstance(last, ev.CheckpointSkipped)
    assert (last.checkpoint_id, last.reason.value) == ("bucket_welds", "too_dark")
    assert "comes back at the end" in visitor.text


def test_stop_asks_first(place: Place, visitor: Browsing) -> None:
    """No goes on with the walk; yes ends it, and the record says stopped."""
    walk_id = visitor.begin("L-12", "short-walk")
    visitor.send(f"/walks/{walk_id}/command", command="stop")
    visitor.press(walk_id, "no")
    assert place.checklist.checkpoints[0].prompt in visitor.text

    visitor.send(f"/walks/{walk_id}/command", command="stop")
    visitor.press(walk_id, "yes")

    assert "Stopped before the end." in visitor.text
    assert "Out of service" in visitor.text


def test_put_aside_and_carry_on(place: Place, visitor: Browsing) -> None:
    """The journal knows of both."""
    walk_id = visitor.begin("L-12", "short-walk")
    visitor.send(f"/walks/{walk_id}/command", command="pause")
    assert "put aside" in visitor.text

    visitor.send(f"/walks/{walk_id}/resume")

    events = [type(entry.event) for entry in place.journal.entries(walk_id)]
    assert events[-3:].count(ev.WalkPaused) == events[-3:].count(ev.WalkResumed) == 1
    assert place.checklist.checkpoints[0].prompt in visitor.text


def test_a_no_at_a_start_check_ends_the_walk(place: Place, visitor: Browsing) -> None:
    """With the reason of the checklist, in the record."""
    walk_id = visitor.begin("L-12", "short-walk")

    visitor.press(walk_id, "no")

    point = place.checklist.checkpoints[0]
    assert kept(place, walk_id) == {point.id: No()}
    assert point.stop_text in visitor.text
    assert visitor.address == f"/records/{walk_id}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("99999", "cannot be"),
        ("4,5", "without commas"),
        ("abc", "is not a number"),
        ("450.123", "digits after the point"),
        ("450 psi", "not in psi"),
        ("", "Nothing was typed"),
    ],
)
def test_a_number_that_cannot_be_is_not_recorded(
    place: Place, visitor: Browsing, text: str, said: str
) -> None:
    """The page says why, and asks again."""
    walk_id = visitor.begin("L-12", "short-walk")
    point = "left_front_pressure"
    visitor.answer(walk_id, place.journal, place.checklist, answers_of(place), point)

    visitor.send(f"/walks/{walk_id}/typed", text=text)

    assert said in visitor.text
    assert point not in kept(place, walk_id)
    assert 'inputmode="decimal"' in visitor.text


def test_a_note_is_kept_as_text_and_shown_escaped(
    place: Place, visitor: Browsing
) -> None:
    """Whatever it holds."""
    walk_id = visitor.begin("L-12", "short-walk")
    note = "<script>alert(1)</script> hose {{ 7*7 }}"

    visitor.send(f"/walks/{walk_id}/note", text=note)

    last = place.journal.entries(walk_id)[-1].event
    assert isinstance(last, ev.NoteKept)
    assert last.text == note
    live = visitor.open(f"/live/{walk_id}")
    assert "<script>alert" not in live
    assert "&lt;script&gt;alert(1)&lt;/script&gt; hose {{ 7*7 }}" in live


def test_not_signing_asks_twice(place: Place, visitor: Browsing) -> None:
    """The first no says what it means; the second leaves the walk unsigned."""
    walk_id = visitor.begin("L-12", "short-walk")
    visitor.answer(walk_id, place.journal, place.checklist, answers_of(place))

    assert "not released" in visitor.press(walk_id, "no")
    visitor.press(walk_id, "no")

    assert "not signed" in visitor.text
    assert visitor.address == f"/records/{walk_id}"


def test_an_unfinished_walk_is_shown_before_another_begins(
    place: Place, visitor: Browsing
) -> None:
    """The form comes back with a link to it; only then a second one begins."""
    first = visitor.begin("L-12", "short-walk")

    visitor.begin("L-12", "short-walk")
    assert visitor.status == 409
    assert f"/walks/{first}" in visitor.text
    visitor.send("/walks", unit="L-12", checklist="short-walk")

    assert len(place.journal.walks()) == 2
    assert visitor.status == 200


def test_a_walk_of_two_is_taken_up_by_its_id(place: Place, visitor: Browsing) -> None:
    """The older one as well."""
    old = visitor.begin("L-12", "short-walk")
    visitor.begin("L-12", "short-walk")
    visitor.send("/walks", unit="L-12", checklist="short-walk")

    again = Browsing(place.start())
    again.open(f"/walks/{old}")
    again.send(f"/walks/{old}/resume")
    again.press(old, "yes")

    assert len(kept(place, old)) == 1


def test_a_record_that_cannot_be_written_is_written_later(
    place: Place, visitor: Browsing
) -> None:
    """Signing is kept; carrying on only writes the record."""
    walk_id = visitor.begin("L-12", "short-walk")
    visitor.answer(walk_id, place.journal, place.checklist, answers_of(place))
    (place.home / "records").write_text("in the way", encoding="utf-8")

    visitor.press(walk_id, "yes")
    assert visitor.status == 503
    (place.home / "records").unlink()
    visitor.open(f"/walks/{walk_id}")
    visitor.send(f"/walks/{walk_id}/resume")

    assert visitor.address == f"/records/{walk_id}"


def test_walks_that_are_not_there(visitor: Browsing) -> None:
    """A page that says so."""
    visitor.open(f"/walks/{uuid4()}")

    assert visitor.status == 404
    assert "no such walk" in visitor.text


def test_a_unit_with_a_name_that_cannot_be(place: Place, visitor: Browsing) -> None:
    """A clear error; nothing begins."""
    visitor.open("/walks/new")
    visitor.send("/walks", unit="../../etc", checklist="short-walk")

    assert visitor.status == 400
    assert "cannot be the id of the unit" in visitor.text
    assert place.journal.walks() == ()


def test_a_checklist_is_never_taken_as_a_path(place: Place, visitor: Browsing) -> None:
    """Only names of the list are known."""
    path = str(place.home / "short-walk.toml")
    visitor.open("/walks/new")

    visitor.send("/walks", unit="L-12", checklist=path)

    assert visitor.status == 400
    assert place.journal.walks() == ()


def test_korean_pages_and_questions(place: Place, visitor: Browsing) -> None:
    """A walk is shown in the language that it was begun in."""
    visitor.open("/walks/new")
    visitor.send("/walks", unit="L-12", checklist="wheel-loader", language="ko")

    assert '<html lang="ko">' in visitor.text
    assert "보호구" in visitor.text


@pytest.mark.parametrize("language", ["../../x", "xx", "\x00"])
def test_a_language_never_names_a_file(
    place: Place, visitor: Browsing, language: str
) -> None:
    """A language without texts is the usual one, in journal and page."""
    visitor.open("/walks/new")

    visitor.send("/walks", unit="L-12", checklist="short-walk", language=language)

    assert '<html lang="en">' in visitor.text
    [row] = place.journal.walks()
    assert "'en'" in repr(place.journal.entries(row.walk_id)[1].event)
