"""Two browsers at once: one of them is taken, the other is told, nothing doubles."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from voicecheck.defects.events import RepairChecked, RepairDone, UnitReleased
from voicecheck.round import events as ev
from voicecheck.testing.browsing import Browsing

if TYPE_CHECKING:
    from conftest import Place

TIMES = 3
"""Of each race."""


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.database)])
def place(
    request: pytest.FixtureRequest,
    tmp_path: Path,
    opened: Callable[[Path, Path | str], Iterator[Place]],
) -> Iterator[Place]:
    """Give a server on each kind of store, empty."""
    if request.param == "postgres":
        yield from opened(tmp_path, request.getfixturevalue("fresh_postgres_url"))
    else:
        yield from opened(tmp_path, tmp_path / "store.sqlite3")


def at_once(*acts: Callable[[], object]) -> None:
    """Let all begin at the same moment, each in its thread; wait for all."""
    ready = threading.Barrier(len(acts))
    failed: list[BaseException] = []

    def run(act: Callable[[], object]) -> None:
        try:
            ready.wait(30)
            act()
        except BaseException as error:  # noqa: BLE001 (shown below)
            failed.append(error)

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not failed
    assert not any(thread.is_alive() for thread in threads)


def both(place: Place, where: str) -> tuple[Browsing, Browsing]:
    """Give two browsers that show the same page of one server."""
    app = place.start()
    first, second = Browsing(app), Browsing(app)
    first.open(where)
    second.open(where)
    return first, second


def story(place: Place) -> list[type]:
    """Return the kinds of what happened to the one defect after it was found."""
    [defect] = place.fleet.defects()
    return [type(one.event) for one in place.fleet.defect(defect.defect_id).story[1:]]


@pytest.mark.usefixtures("found")
def test_two_repair_and_release_the_same_defect(place: Place) -> None:
    """Each step is written once; the slower browser is shown how it stands."""
    [defect] = place.fleet.open_defects()
    where = f"/defects/{defect.defect_id}"
    steps: list[type] = []
    for good in ("no", "no", "yes")[-TIMES:]:
        first, second = both(place, where)
        at_once(
            partial(first.send, f"{where}/repaired", by="M.Roe", done="nuts"),
            partial(second.send, f"{where}/repaired", by="C.Poe", done="new"),
        )
        steps.append(RepairDone)
        assert sorted((first.status, second.status)) == [200, 409]
        assert story(place) == steps

        first, second = both(place, where)
        at_once(
            partial(first.send, f"{where}/checked", by="M.Roe", good=good),
            partial(second.send, f"{where}/checked", by="C.Poe", good=good),
        )
        steps.append(RepairChecked)
        assert sorted((first.status, second.status)) == [200, 409]
        assert story(place) == steps

    first, second = both(place, "/units/L-1/release")
    at_once(
        partial(first.send, "/units/L-1/release", by="M.Roe", sure="yes"),
        partial(second.send, "/units/L-1/release", by="C.Poe", sure="yes"),
    )
    assert sorted((first.status, second.status)) == [200, 409]
    assert story(place) == [*steps, UnitReleased]
    assert "nothing to release" in first.text + second.text
    assert place.fleet.open_defects() == ()


@pytest.mark.usefixtures("found")
def test_a_check_that_is_not_good_and_a_release_at_once(place: Place) -> None:
    """Whichever comes first: a machine is never freed over a bad check."""
    [defect] = place.fleet.open_defects()
    where = f"/defects/{defect.defect_id}"
    for _ in range(TIMES):
        first, second = both(place, where)
        first.send(f"{where}/repaired", by="M.Roe", done="nuts")
        first.open(where)
        second.open("/units/L-1/release")
        at_once(
            partial(first.send, f"{where}/checked", by="C.Poe", good="no"),
            partial(second.send, "/units/L-1/release", by="M.Roe", sure="yes"),
        )

        assert sorted((first.status, second.status)) == [200, 409]
        released = UnitReleased in story(place)
        held = bool(place.fleet.open_defects("L-1"))
        assert released is not held
        if released:
            return


def test_two_answer_one_walk(place: Place) -> None:
    """One press is recorded for each page, whoever is first; the chain holds."""
    app = place.start()
    first, second = Browsing(app), Browsing(app)
    walk_id = first.begin("L-7", "short-walk")
    second.open(f"/walks/{walk_id}")
    for count in (1, 2):
        at_once(
            partial(first.press, walk_id, "yes"), partial(second.press, walk_id, "yes")
        )
        entries = place.journal.entries(walk_id)
        answers = [e for e in entries if isinstance(e.event, ev.AnswerConfirmed)]
        assert len(answers) == count
        told = [one.text.count("came from an older page") for one in (first, second)]
        assert sorted(told) == [0, 1]
        first.open(f"/walks/{walk_id}")
        second.open(f"/walks/{walk_id}")
    assert place.journal.verify(walk_id).ok


def test_two_servers_on_one_store(place: Place) -> None:
    """A server that another has overtaken says so, and takes the walk up again."""
    first, second = Browsing(place.start()), Browsing(place.start())
    walk_id = first.begin("L-7", "short-walk")
    second.open(f"/walks/{walk_id}")
    second.send(f"/walks/{walk_id}/resume")
    second.press(walk_id, "yes")

    first.press(walk_id, "yes")
    assert first.status == 503
    first.open(f"/walks/{walk_id}")
    first.send(f"/walks/{walk_id}/resume")
    first.press(walk_id, "yes")

    entries = place.journal.entries(walk_id)
    answers = [e.event for e in entries if isinstance(e.event, ev.AnswerConfirmed)]
    assert [one.checkpoint_id for one in answers] == ["protective_gear", "cab_empty"]
    assert place.journal.verify(walk_id).ok


@pytest.mark.usefixtures("found")
def test_every_page_of_a_store(place: Place) -> None:
    """Lists, searches, records, exports and the live page, on each database."""
    visitor = Browsing(place.start())
    walk_id = visitor.begin("L-7", "short-walk")
    [defect] = place.fleet.open_defects()
    record = re.findall(r"/records/[0-9a-f-]{36}", visitor.open("/units/L-1"))[0]
    for where in (
        "/",
        "/?search=l-1&status=out_of_service",
        "/units/L-1",
        "/units/L-1/release",
        "/units/L-1/tag",
        "/defects?unit=L-1&severity=major&order=age",
        f"/defects/{defect.defect_id}",
        "/walks/new?unit=L-2",
        f"/walks/{walk_id}",
        "/live",
        f"/live/{walk_id}",
        record,
        f"{record}/export/json",
        f"{record}/export/pdf",
    ):
        assert visitor.client.get(where).status_code == 200, where
