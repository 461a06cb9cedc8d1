"""Observations from beginning to signature, and marks as the page sends them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicecheck.clock import utc_text
from voicecheck.observe.keeping import Observations
from voicecheck.observe.observation import Observation
from voicecheck.round.answers import Defect, Fault, Severity
from voicecheck.testing.browsing import Browsing, Forms
from voicecheck.testing.observing import (
    ASSESSOR,
    OTHER,
    SUPERVISOR,
    TRAINEE,
    Watching,
    begin_watching,
)

if TYPE_CHECKING:
    from conftest import Place

LOOSE = Defect(fault=Fault.LOOSE, severity=Severity.MAJOR)


@pytest.fixture
def watching(place: Place) -> Watching:
    """Give an observation that has begun, on the short checklist."""
    return begin_watching(
        place.people,
        place.home,
        place.clock,
        checklist=place.home / "short-walk.toml",
        planted={_point(place): LOOSE},
    )


def _point(place: Place) -> str:
    """A point of the short walk that can be defect."""
    return next(p.id for p in place.checklist.checkpoints if p.kind == "condition")


@pytest.fixture
def assessor(place: Place, watching: Watching) -> Browsing:
    """Give the assessor, signed in."""
    return entered(place, watching, ASSESSOR)


def entered(place: Place, watching: Watching, who: str) -> Browsing:
    """Return somebody who has signed in."""
    guest = Browsing(place.start())
    guest.open("/people/sign-in")
    guest.send("/people/sign-in", who=who, code=watching.codes[who])
    return guest


def kept(place: Place, watching: Watching) -> Observation:
    """Return what is kept of the observation."""
    found = Observations(place.people, place.clock)
    return found.load(TRAINEE, watching.observation, ASSESSOR)


def mark(place: Place, **more: Any) -> dict[str, Any]:
    """Return a mark as the page sends it."""
    point = place.checklist.checkpoints[0].id
    at = utc_text(place.clock.now())
    return {
        "key": str(uuid4()),
        "at_utc": at,
        "kind": "looked",
        "checkpoint": point,
        **more,
    }


def send(
    guest: Browsing, watching: Watching, events: list[dict[str, Any]], token: str = ""
) -> Any:
    """Send marks; with the token of the plan unless another is given."""
    if not token:
        token = guest.client.get(f"{watching.place}/plan").json()["form_token"]
    body = {"sent_utc": "2026-01-05T06:00:00Z", "events": events}
    address = f"{watching.place}/marks"
    return guest.client.post(address, json=body, headers={"form-token": token})


def test_the_plan_has_the_points_and_what_is_kept(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """In walking order, with marks that another device made."""
    send(assessor, watching, [mark(place)])

    plan = assessor.client.get(f"{watching.place}/plan").json()

    points = [p["id"] for zone in plan["zones"] for p in zone["points"]]
    assert points == [p.id for p in place.checklist.checkpoints]
    assert [event["kind"] for event in plan["events"]] == ["looked"]
    assert (plan["learner"], plan["unit"]) == (TRAINEE, "L-12")


def test_the_page_itself_names_nobody(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """What a browser keeps for later has no person, point or form token in it."""
    page = assessor.open(f"{watching.place}/mark")

    assert page == assessor.open("/observe/shell")
    for text in (TRAINEE, ASSESSOR, "L-12", "form_token", str(watching.observation)):
        assert text not in page
    assert place.checklist.checkpoints[0].prompt not in page


def test_marks_sent_twice_are_kept_once(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """Also in another order, in other batches, and with one that is new."""
    one, two, three = (mark(place) for _ in range(3))
    first = send(assessor, watching, [one, two]).json()
    second = send(assessor, watching, [two, three, one]).json()

    assert first["kept"] == [one["key"], two["key"]]
    assert second["kept"] == [two["key"], three["key"], one["key"]]
    assert {str(m.key) for m in kept(place, watching).marks} == {
        e["key"] for e in (one, two, three)
    }


def test_writing_is_no_look(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """Opening the page is one look at the trainee's results; its batches are none."""
    token = assessor.client.get(f"{watching.place}/plan").json()["form_token"]
    send(assessor, watching, [mark(place)], token)
    before = len(place.people.looks(TRAINEE, TRAINEE))
    for _ in range(3):
        send(assessor, watching, [mark(place)], token)

    assert len(place.people.looks(TRAINEE, TRAINEE)) == before + 1  # this look itself
    assert len(kept(place, watching).marks) == 4


def test_one_wrong_mark_holds_up_no_other(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """Each is kept or refused by itself, with a reason."""
    good = mark(place)
    strange = mark(place, checkpoint="no_such_point")
    nowhere = mark(place, checkpoint=None)
    send(assessor, watching, [taken := mark(place)])
    other = mark(place, key=taken["key"], kind="missed")

    answer = send(assessor, watching, [strange, other, good, nowhere]).json()

    assert answer["kept"] == [good["key"]]
    why = {each["key"]: each["why"] for each in answer["refused"]}
    assert "no point" in why[strange["key"]]
    assert "another result" in why[other["key"]]
    assert "belongs to a point" in why[nowhere["key"]]


def test_undo_before_or_after_its_mark(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """The order in which they arrive makes no difference."""
    one = mark(place)
    back = {"key": str(uuid4()), "at_utc": one["at_utc"], "takes_back": one["key"]}
    send(assessor, watching, [back])
    send(assessor, watching, [one])

    seen = kept(place, watching)
    assert seen.marks == ()
    assert [str(m.key) for m in seen.retracted] == [one["key"]]


def test_the_skew_of_the_tablet_is_kept(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """The time is that of the tablet; how far it was ahead stands beside it."""
    send(assessor, watching, [mark(place, at_utc="2026-01-05T07:00:00Z", skew_s=3600)])

    [made] = kept(place, watching).marks
    assert made.at_utc == "2026-01-05T07:00:00.000Z"
    assert made.when_utc == "2026-01-05T06:00:00.000Z"


@pytest.mark.parametrize("who", [SUPERVISOR, TRAINEE, OTHER])
def test_nobody_else_marks(place: Place, watching: Watching, who: str) -> None:
    """Not the trainee, not a supervisor: only who began to watch."""
    guest = entered(place, watching, who)

    answer = guest.client.get(f"{watching.place}/plan")
    token = guest.open("/people").split('name="form_token" value="')[1][:64]
    sent = send(guest, watching, [mark(place)], token)

    assert answer.status_code in (403, 409)
    assert sent.status_code in (403, 409)
    assert kept(place, watching).marks == ()


def test_marks_need_the_token_and_the_session(
    place: Place, watching: Watching, assessor: Browsing
) -> None:
    """A page elsewhere has neither."""
    assert send(assessor, watching, [mark(place)], "0" * 64).status_code == 403
    stranger = Browsing(place.start())
    token = Forms(stranger.open("/walks/new")).found[0][1]["form_token"]
    assert send(stranger, watching, [mark(place)], token).status_code == 401
    assert kept(place, watching).marks == ()


EVENT = st.fixed_dictionaries(
    {},
    optional={
        "key": st.uuids().map(str) | st.text(max_size=5),
        "at_utc": st.datetimes().map(lambda d: d.isoformat() + "Z")
        | st.text(max_size=9),
        "kind": st.sampled_from(["looked", "unsafe", "called", "x"]) | st.none(),
        "takes_back": st.uuids().map(str) | st.none(),
        "checkpoint": st.sampled_from(["cab_empty", "'; --", "\x00"]) | st.none(),
        "act": st.sampled_from(["other", "x"]) | st.none(),
        "severity": st.sampled_from(["major", "x"]) | st.none(),
        "leak_class": st.sampled_from(["I", "x"]) | st.none(),
        "note": st.text(max_size=20) | st.just("x" * 301),
        "skew_s": st.floats(allow_nan=False, allow_infinity=False)
        | st.text(max_size=3),
        "more": st.integers(),
    },
)


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    database=None,
)
@given(events=st.lists(EVENT, max_size=4))
def test_no_batch_breaks_the_server(
    place: Place, watching: Watching, assessor: Browsing, events: list[dict[str, Any]]
) -> None:
    """Every event of a batch that fits is named in the answer, once."""
    answer = send(assessor, watching, events)

    assert answer.status_code in (200, 422)
    if answer.status_code == 200:
        told = answer.json()
        named = [*told["kept"], *(each["key"] for each in told["refused"])]
        assert sorted(named) == sorted(str(event["key"]).lower() for event in events)


def test_from_the_beginning_to_the_signatures(place: Place, watching: Watching) -> None:
    """Begin, mark, end, result, debrief, appeal, sign, files."""
    assessor = entered(place, watching, ASSESSOR)
    trainee = entered(place, watching, TRAINEE)
    assessor.open("/observe/begin")
    assessor.send(
        "/observe/begin",
        trainee=TRAINEE,
        unit="L-13",
        commitment=watching.sealed.commitment,
    )
    at = assessor.address.removesuffix("/mark")
    assert at.startswith(f"/observe/of/{TRAINEE}/")
    begun = Watching(
        checklist=watching.checklist,
        observation=at.rpartition("/")[2],  # type: ignore[arg-type]
        sealed=watching.sealed,
        codes=watching.codes,
    )
    marks = [mark(place, checkpoint=p.id) for p in place.checklist.checkpoints]
    assert len(send(assessor, begun, marks).json()["kept"]) == len(marks)
    trainee.open(at)
    assert trainee.status == 409
    assert "has not ended" in trainee.text

    assessor.open(f"{at}/end")
    assessor.send(f"{at}/end", walk="", reason="")
    assert assessor.address == at
    assert watching.sealed.scenario.planted[0].checkpoint not in assessor.text
    assessor.send(f"{at}/sign")
    assert "no qualified electronic signature" in assessor.text
    trainee.open(at)
    trainee.send(f"{at}/appeal", text="The tag hung behind <b>the hose</b>.")
    assert "behind &lt;b&gt;the hose" in trainee.text
    trainee.send(f"{at}/sign")
    assert trainee.status == 200
    assert f"Sign as {TRAINEE}" not in trainee.text
    assert trainee.open(f"{at}/debrief") != ""
    assert trainee.status == 200
    for name, start in (("pdf", b"%PDF"), ("json", b"{"), ("html", b"<!DOCTYPE")):
        file = trainee.client.get(f"{at}/export/{name}")
        assert file.status_code == 200
        assert file.content.startswith(start)

    other = entered(place, watching, OTHER)
    for address in (at, f"{at}/debrief", f"{at}/export/pdf", f"{at}/end"):
        assert other.client.get(address).status_code == 403
    assert "L-13" in assessor.open(f"/observe/of/{TRAINEE}")
    course = assessor.open("/observe/course?checklist=short-walk")
    assert assessor.status == 200
    assert TRAINEE not in course.split("<main")[1].split('class="report"')[1]


def test_two_observations_side_by_side(place: Place, watching: Watching) -> None:
    """A supervisor compares; an assessor sees only their own."""
    assessor = entered(place, watching, ASSESSOR)
    send(assessor, watching, [mark(place)])
    second = Observations(place.people, place.clock).begin(
        trainee=TRAINEE,
        unit="L-12",
        checklist=watching.checklist,
        sealed=watching.sealed,
        by=SUPERVISOR,
    )
    supervisor = entered(place, watching, SUPERVISOR)

    supervisor.open(
        f"/observe/compare?one={TRAINEE}/{str(watching.observation)[:8]}"
        f"&other={TRAINEE}/{str(second.observation)[:8]}"
    )

    assert supervisor.status == 200
    assert 'class="report"' in supervisor.text
    assessor.open(
        f"/observe/compare?one={TRAINEE}/{str(watching.observation)[:8]}"
        f"&other={TRAINEE}/{str(second.observation)[:8]}"
    )
    assert assessor.status == 409


def test_pages_in_korean(place: Place, watching: Watching, assessor: Browsing) -> None:
    """Every page has its words."""
    assessor.open("/people")
    assessor.send("/language", language="ko")

    for address in ("/people", "/observe", "/observe/begin", f"/learn/{ASSESSOR}"):
        page = assessor.open(address)
        assert assessor.status in (200, 400)
        assert "로그인" in page or assessor.status == 400
    assert "제대로 봄" in assessor.open("/observe/shell")
