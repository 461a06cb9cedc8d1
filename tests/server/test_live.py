"""A walk that is followed while it goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import uuid4

from voicecheck.round import events as ev
from voicecheck.round.answers import Reason, Yes
from voicecheck.server.live import Follower
from voicecheck.server.words import Words
from voicecheck.store.session import WalkSession
from voicecheck.testing.browsing import Browsing

if TYPE_CHECKING:
    from conftest import Place


def spoken_walk(place: Place) -> WalkSession:
    """Begin a walk as another program would."""
    return WalkSession.start(
        place.journal, place.clock, place.checklist, unit="L-12", folder=place.home
    )


def heard(*words: str) -> ev.How:
    """Return how a spoken answer came in."""
    return ev.How(mode="spoken", confirmed_by="explicit", words=words, confidence=0.91)


def test_what_another_program_records_is_told_in_words(place: Place) -> None:
    """Zone, point, what was heard and what was recorded; only what is new."""
    session = spoken_walk(place)
    follower = Follower(place.checklist, Words("en"))
    follower.take_in(place.journal.entries(session.walk_id))
    first = place.checklist.checkpoints[0]

    session.observe("nomatch", first.id)
    session.commit(
        ev.AnswerConfirmed(checkpoint_id=first.id, answer=Yes()), heard("affirm")
    )
    lines = follower.take_in(place.journal.entries(session.walk_id))

    assert [line.kind for line in lines] == ["unheard", "recorded"]
    assert lines[0].recorded == "Not understood"
    assert lines[1].point == first.prompt
    assert lines[1].zone == place.checklist.zone(first.zone_id).title
    assert (lines[1].heard, lines[1].recorded) == ("affirm", "yes")
    assert lines[1].flags == ("confidence 0.91",)
    assert follower.now().point == place.checklist.checkpoints[1].prompt
    assert follower.take_in(place.journal.entries(session.walk_id)) == ()


def test_the_stream_ends_with_the_walk(place: Place, visitor: Browsing) -> None:
    """Each entry once, then that it is over."""
    session = spoken_walk(place)
    first = place.checklist.checkpoints[0].id
    session.commit(ev.AnswerConfirmed(checkpoint_id=first, answer=Yes()), heard("yes"))
    session.commit(ev.WalkStopped(reason="operator"))

    stream = visitor.client.get(f"/live/{session.walk_id}/events").text

    assert "event: line\nid: 3\ndata: <li" in stream
    assert stream.count("event: line") == 3
    assert stream.rstrip().splitlines()[-3] == "event: over"


def test_the_stream_goes_on_where_the_browser_was(
    place: Place, visitor: Browsing
) -> None:
    """By the id that browsers send after a broken connection."""
    session = spoken_walk(place)
    session.commit(ev.WalkStopped(reason="operator"))
    address = f"/live/{session.walk_id}/events"

    rest = visitor.client.get(address, headers={"last-event-id": "2"}).text

    assert rest.count("event: line") == 1
    assert "id: 3" in rest


def test_what_was_heard_is_escaped(place: Place, visitor: Browsing) -> None:
    """In the page and in the stream."""
    session = spoken_walk(place)
    first = place.checklist.checkpoints[0].id
    session.observe("nomatch", first, detail="<b>bold</b>\nevent: over")
    session.commit(ev.WalkStopped(reason="operator"))

    page = visitor.open(f"/live/{session.walk_id}")
    stream = visitor.client.get(f"/live/{session.walk_id}/events").text

    assert "&lt;b&gt;bold&lt;/b&gt;" in page
    assert "&lt;b&gt;bold&lt;/b&gt;" in stream
    assert stream.count("\nevent: over") == 1


def test_every_kind_of_event_has_words(place: Place) -> None:
    """Skips, notes, pauses, what was taken back; no bare names of the program."""
    session = spoken_walk(place)
    points = place.checklist.checkpoints
    for point in points[:2]:
        session.commit(ev.AnswerConfirmed(checkpoint_id=point.id, answer=Yes()))
    session.commit(
        ev.CheckpointSkipped(checkpoint_id=points[2].id, reason=Reason.TOO_HOT)
    )
    session.commit(ev.SkipWithdrawn(checkpoint_id=points[2].id))
    session.commit(ev.AnswerWithdrawn(checkpoint_id=points[1].id))
    session.commit(ev.NoteKept(checkpoint_id=None, text="hose rubs"))
    session.commit(ev.WalkPaused())
    session.commit(ev.WalkResumed())
    session.commit(ev.WalkStopped(reason="operator"))
    follower = Follower(place.checklist, Words("ko"))

    lines = follower.take_in(place.journal.entries(session.walk_id))

    told = " ".join(line.recorded for line in lines)
    assert "hose rubs" in told
    assert "너무" in told or "뜨거" in told
    assert "Walk" not in told
    assert follower.now().state == "over"


def test_the_page_lists_walks_that_go_on(place: Place, visitor: Browsing) -> None:
    """A spoken one as well; one of yesterday stands among those left."""
    session = spoken_walk(place)
    going, _, left = visitor.open("/live").partition("Left unfinished")
    assert session.walk_id in going

    place.clock.advance(13 * 3600)
    going, _, left = visitor.open("/live").partition("Left unfinished")

    assert session.walk_id in left
    assert session.walk_id not in going


def test_a_walk_that_is_not_there(visitor: Browsing) -> None:
    """A page that says so, and no stream."""
    visitor.open(f"/live/{uuid4()}")
    assert visitor.status == 404
    assert visitor.client.get(f"/live/{uuid4()}/events").status_code == 404
