"""Personal results: kept once, shown to those with the right, every look logged."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import jsonschema
import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import NotAllowed, PeopleError, TooManyTries
from voicecheck.people.codes import FREE_TRIES
from voicecheck.people.document import schema_text
from voicecheck.people.events import MOST_BODY_BYTES, PersonalEvent
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore

WORKERS = 4


def event(subject: str, by: str, **changed: Any) -> PersonalEvent:
    """Return a result that is new unless a key is given."""
    values: dict[str, Any] = {
        "key": uuid4(),
        "subject": subject,
        "kind": "learn/review/1",
        "at_utc": "2026-01-05T06:00:00.000Z",
        "by": by,
        "body": {"card": "zone", "grade": 3},
    }
    return PersonalEvent(**{**values, **changed})


@pytest.fixture
def clock() -> ManualClock:
    """A clock that moves when told."""
    return ManualClock(datetime(2026, 1, 5, 6, tzinfo=UTC))


@pytest.fixture(
    params=["sqlite", pytest.param("postgresql", marks=pytest.mark.database)]
)
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path | str]:
    """Give the place of an empty store, in both databases."""
    if request.param == "sqlite":
        yield tmp_path / "people.sqlite3"
        return
    url = request.getfixturevalue("postgres_url")
    yield url
    import psycopg

    with psycopg.connect(url.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute("DROP SCHEMA public CASCADE; CREATE SCHEMA public")


@pytest.fixture
def store(where: Path | str, clock: ManualClock) -> Iterator[PeopleStore]:
    """A supervisor, two assessors and two learners."""
    with PeopleStore(where, clock=clock) as opened:
        opened.register("C.Poe", {Role.SUPERVISOR}, by="C.Poe")
        opened.register("M.Roe", {Role.ASSESSOR}, by="C.Poe")
        opened.register("K.Low", {Role.ASSESSOR}, by="C.Poe")
        opened.register("J.Doe", {Role.LEARNER}, by="J.Doe")
        opened.register("A.Day", {Role.LEARNER}, by="C.Poe")
        yield opened


def test_what_is_kept_comes_back_in_order(store: PeopleStore) -> None:
    """Whole, in the order of keeping, whatever the times say."""
    late = event("J.Doe", "J.Doe", at_utc="2026-02-01T00:00:00.000Z", body={"ä": [1]})
    early = event("J.Doe", "M.Roe", thread=str(uuid4()), kind="observe/mark/1")

    assert (store.append(late), store.append(early)) == (True, True)
    assert store.events("J.Doe", "J.Doe") == (late, early)
    assert store.events("J.Doe", "C.Poe", "observe/") == (early,)


def test_the_prefix_is_no_pattern(store: PeopleStore) -> None:
    """Signs that mean something to a database mean nothing here."""
    store.append(event("J.Doe", "J.Doe"))

    assert store.events("J.Doe", "J.Doe", "%") == ()
    assert store.events("J.Doe", "J.Doe", "learn_") == ()


def test_the_same_key_twice_is_kept_once(store: PeopleStore) -> None:
    """Also within one batch; how many were new is said."""
    first, second = event("J.Doe", "J.Doe"), event("J.Doe", "J.Doe")

    assert store.append_all([first, first]) == 1
    assert store.append_all([first, second]) == 1
    assert store.events("J.Doe", "J.Doe") == (first, second)


@pytest.mark.parametrize(
    "changed",
    [
        {"body": {"card": "other"}},
        {"kind": "learn/call/1"},
        {"subject": "A.Day"},
        {"by": "M.Roe"},
        {"at_utc": "2026-01-05T06:00:01.000Z"},
    ],
    ids=lambda changed: next(iter(changed)),
)
def test_a_key_stands_for_one_thing(
    store: PeopleStore, changed: dict[str, Any]
) -> None:
    """Anything else under it is an error, and the whole batch is left out."""
    kept = event("J.Doe", "J.Doe")
    store.append(kept)
    other = event("J.Doe", "J.Doe")
    changed_event = event(
        **{"subject": "J.Doe", "by": "J.Doe", "key": kept.key, **changed}
    )

    with pytest.raises(PeopleError, match="another result"):
        store.append_all([other, changed_event])
    assert store.events("J.Doe", "J.Doe") == (kept,)


@pytest.mark.parametrize(
    ("subject", "by"), [("A.Day", "J.Doe"), ("M.Roe", "J.Doe"), ("C.Poe", "J.Doe")]
)
def test_learners_write_into_their_own_results_only(
    store: PeopleStore, subject: str, by: str
) -> None:
    """And nothing of the batch is kept."""
    with pytest.raises(NotAllowed, match=f"{by} may not write"):
        store.append_all([event(by, by), event(subject, by)])
    assert store.events(by, by) == ()


@pytest.mark.parametrize(
    "wrong",
    [
        pytest.param({"subject": "Nobody"}, id="subject"),
        pytest.param({"by": "Nobody"}, id="writer"),
        pytest.param({"body": {"x": float("nan")}}, id="no JSON"),
        pytest.param({"body": {"x": "y" * MOST_BODY_BYTES}}, id="too large"),
        pytest.param({"thread": "J.Doe"}, id="thread with a name"),
    ],
)
def test_what_cannot_be_kept_is_refused(
    store: PeopleStore, wrong: dict[str, Any]
) -> None:
    """With a sentence."""
    with pytest.raises(PeopleError):
        store.append(event(**{"subject": "J.Doe", "by": "J.Doe", **wrong}))


def test_a_learner_sees_nothing_of_another(store: PeopleStore) -> None:
    """And that they tried is written down where the other can read it."""
    store.append(event("A.Day", "A.Day"))

    for attempt in (store.events, store.export, store.looks):
        with pytest.raises(NotAllowed, match=r"J\.Doe may not"):
            attempt("A.Day", "J.Doe")
    looks = store.looks("A.Day", "A.Day")
    assert [(one.reader, one.allowed) for one in looks[:3]] == [("J.Doe", False)] * 3


def test_an_assessor_sees_the_observations_that_they_began(
    store: PeopleStore,
) -> None:
    """With the learner's appeal and a supervisor's word in it; not the learner's
    practice, nor what another assessor saw, until that one takes part."""
    mine, theirs = str(uuid4()), str(uuid4())
    begun = event("J.Doe", "M.Roe", thread=mine, kind="observe/begun/1")
    other = event("J.Doe", "K.Low", thread=theirs, kind="observe/begun/1")
    appeal = event("J.Doe", "J.Doe", thread=mine, kind="observe/appealed/1")
    joined = event("J.Doe", "M.Roe", thread=theirs, kind="observe/mark/1")
    practice = event("J.Doe", "J.Doe")
    store.append_all([begun, other, appeal, practice, joined])

    assert store.events("J.Doe", "M.Roe") == (begun, appeal, joined)
    assert store.events("J.Doe", "K.Low") == (other, joined)
    assert len(store.events("J.Doe", "C.Poe")) == 5
    assert store.events("A.Day", "M.Roe") == ()


def test_a_thread_begun_with_one_opens_nothing_of_another(store: PeopleStore) -> None:
    """The same thread id among the results of two: each counts for itself."""
    thread = str(uuid4())
    store.append(event("A.Day", "M.Roe", thread=thread, kind="observe/begun/1"))
    store.append(event("J.Doe", "K.Low", thread=thread, kind="observe/begun/1"))

    assert store.events("J.Doe", "M.Roe") == ()
    assert len(store.events("J.Doe", "K.Low")) == 1


def test_every_look_is_written_down(store: PeopleStore, clock: ManualClock) -> None:
    """Who, what and when; looking at the looks is one of them."""
    store.events("J.Doe", "M.Roe", "observe/")
    clock.advance(60)
    store.export("J.Doe", "C.Poe")
    looks = store.looks("J.Doe", "J.Doe")

    assert [(one.reader, one.what, one.at_utc[11:19]) for one in looks] == [
        ("M.Roe", "results observe/", "06:00:00"),
        ("C.Poe", "export", "06:01:00"),
        ("J.Doe", "looks", "06:01:00"),
    ]


def test_the_export_follows_its_schema(store: PeopleStore) -> None:
    """All results and all looks of the person, and nobody else's."""
    store.append_all([event("J.Doe", "J.Doe"), event("A.Day", "A.Day")])
    document = store.export("J.Doe", "J.Doe")

    import json

    jsonschema.validate(document, json.loads(schema_text()))
    assert document["person"]["id"] == "J.Doe"
    assert len(document["events"]) == 1
    assert [one["what"] for one in document["looks"]] == ["export"]


class TestRegistering:
    """Who may give which role."""

    def test_the_first_supervisor_names_themselves(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Before that nobody else can be given a role; after it nobody can take it."""
        with PeopleStore(tmp_path / "p.sqlite3", clock=clock) as store:
            with pytest.raises(NotAllowed, match="no supervisor yet"):
                store.register("M.Roe", {Role.ASSESSOR}, by="M.Roe")
            store.register("C.Poe", {Role.SUPERVISOR}, by="C.Poe")
            with pytest.raises(PeopleError, match="not registered"):
                store.register("X.Tra", {Role.SUPERVISOR}, by="X.Tra")

    @pytest.mark.parametrize("role", [Role.ASSESSOR, Role.SUPERVISOR])
    @pytest.mark.parametrize("by", ["J.Doe", "M.Roe"])
    def test_nobody_promotes_themselves_or_others(
        self, store: PeopleStore, role: Role, by: str
    ) -> None:
        """A learner no more than an assessor."""
        for who in ("J.Doe", "New.One"):
            with pytest.raises(NotAllowed, match="may not give"):
                store.register(who, {Role.LEARNER, Role.ASSESSOR, role}, by=by)

    def test_registering_again_changes_nothing(self, store: PeopleStore) -> None:
        """So that every command may begin with it."""
        again = store.register("J.Doe", {Role.LEARNER}, by="J.Doe")

        assert again == store.person("J.Doe")

    def test_a_supervisor_changes_roles(self, store: PeopleStore) -> None:
        """Who registered them first stays."""
        changed = store.register("J.Doe", {Role.LEARNER, Role.ASSESSOR}, by="C.Poe")

        assert changed.roles == {Role.LEARNER, Role.ASSESSOR}
        assert changed.registered_by == "J.Doe"

    def test_the_last_supervisor_stays(self, store: PeopleStore) -> None:
        """Neither demoted nor erased while others are left."""
        with pytest.raises(PeopleError, match="only supervisor"):
            store.register("C.Poe", {Role.LEARNER}, by="C.Poe")
        with pytest.raises(PeopleError, match="only supervisor"):
            store.erase("C.Poe", "C.Poe")
        assert store.person("C.Poe").roles == {Role.SUPERVISOR}

    def test_no_role_is_refused(self, store: PeopleStore) -> None:
        """Who has none needs no place."""
        with pytest.raises(PeopleError, match="role"):
            store.register("X.Tra", set(), by="C.Poe")

    @pytest.mark.parametrize(
        ("reader", "known"),
        [
            ("C.Poe", ["A.Day", "C.Poe", "J.Doe", "K.Low", "M.Roe"]),
            ("M.Roe", ["A.Day", "J.Doe", "M.Roe"]),
            ("J.Doe", ["J.Doe"]),
        ],
    )
    def test_who_knows_of_whom(
        self, store: PeopleStore, reader: str, known: list[str]
    ) -> None:
        """A learner is told of nobody else."""
        assert [one.id for one in store.people(reader)] == known


class TestErasing:
    """After it, nothing personal is left."""

    def test_only_that_it_was_done_is_left(self, store: PeopleStore) -> None:
        """The person, results, looks and code are gone; keys keep their doors shut."""
        kept = event("J.Doe", "J.Doe")
        store.append(kept)
        code = store.issue_code("J.Doe")
        gone = store.erase("J.Doe", "C.Poe")

        assert (gone.by, gone.events, store.erasures()) == ("C.Poe", 1, (gone,))
        assert not store.check_code("J.Doe", code)
        with pytest.raises(PeopleError, match="not registered"):
            store.events("J.Doe", "C.Poe")

    def test_a_device_that_sends_it_again_brings_nothing_back(
        self, store: PeopleStore
    ) -> None:
        """Not even to somebody who took the same id since."""
        kept = event("J.Doe", "J.Doe")
        store.append(kept)
        store.erase("J.Doe", "J.Doe")
        store.register("J.Doe", {Role.LEARNER}, by="J.Doe")

        assert not store.append(kept)
        assert store.events("J.Doe", "J.Doe") == ()
        assert store.looks("J.Doe", "C.Poe")[0].what == "results"

    def test_work_for_others_stays_under_another_name(self, store: PeopleStore) -> None:
        """An assessor goes; what they saw of a learner stays the learner's, and
        their device may send it once more."""
        seen = event("J.Doe", "M.Roe", body={"note": "M.Roe saw it", "by": "M.Roe"})
        store.append(seen)
        gone = store.erase("M.Roe", "M.Roe")
        left = store.events("J.Doe", "J.Doe")[0]

        assert left.by == gone.pseudonym
        assert left.body == {"note": f"{gone.pseudonym} saw it", "by": gone.pseudonym}
        assert gone.by == gone.pseudonym
        assert not store.append(seen)

    @pytest.mark.parametrize("by", ["A.Day", "M.Roe"])
    def test_others_may_not(self, store: PeopleStore, by: str) -> None:
        """Nor export; the results are still there."""
        store.append(event("J.Doe", "J.Doe"))

        with pytest.raises(NotAllowed, match="may not erase"):
            store.erase("J.Doe", by)
        with pytest.raises(NotAllowed, match="may not export"):
            store.export("J.Doe", by)
        assert len(store.events("J.Doe", "J.Doe")) == 1


class TestCodes:
    """A code lets its owner in, and nobody who guesses."""

    def test_the_newest_code_opens(self, store: PeopleStore) -> None:
        """Only the person's own, and only the newest."""
        old, new = store.issue_code("J.Doe"), store.issue_code("J.Doe", by="C.Poe")
        other = store.issue_code("A.Day")

        assert store.check_code("J.Doe", new.lower())
        assert not store.check_code("J.Doe", old)
        assert not store.check_code("J.Doe", other)
        assert not store.check_code("Nobody", new)

    def test_no_code_is_kept_readable(self, store: PeopleStore, tmp_path: Path) -> None:
        """Neither with its dash nor without."""
        code = store.issue_code("J.Doe")
        data = b"".join(file.read_bytes() for file in tmp_path.rglob("*.sqlite3"))

        assert code.encode() not in data
        assert code.replace("-", "").encode() not in data

    def test_others_get_no_code(self, store: PeopleStore) -> None:
        """Or they could look in another's name."""
        with pytest.raises(NotAllowed, match="access code"):
            store.issue_code("J.Doe", by="M.Roe")

    def test_guessing_is_slowed_down(
        self, store: PeopleStore, clock: ManualClock
    ) -> None:
        """After five wrong codes not even the right one counts, until the time is
        over; then it does, and the count begins anew."""
        code = store.issue_code("J.Doe")
        for _ in range(FREE_TRIES):
            assert not store.check_code("J.Doe", "wrong")
        with pytest.raises(TooManyTries, match="wait 5 s"):
            store.check_code("J.Doe", code)
        clock.advance(5.1)
        assert not store.check_code("J.Doe", "wrong")
        with pytest.raises(TooManyTries, match="wait 10 s"):
            store.check_code("J.Doe", code)
        clock.advance(10.1)

        assert store.check_code("J.Doe", code)
        assert not store.check_code("J.Doe", "wrong")
        assert store.check_code("J.Doe", code)

    def test_guessing_at_once_does_not_help(
        self, store: PeopleStore, where: Path | str, clock: ManualClock
    ) -> None:
        """Ten tries side by side: five are looked at, five must wait."""
        store.issue_code("J.Doe")

        def attempt(_: int) -> str:
            with PeopleStore(where, clock=clock) as other:
                try:
                    return str(other.check_code("J.Doe", "wrong"))
                except TooManyTries:
                    return "wait"

        with ThreadPoolExecutor(WORKERS) as pool:
            told = list(pool.map(attempt, range(10)))
        assert (told.count("False"), told.count("wait")) == (5, 5)


class TestSideBySide:
    """Several programs write at once."""

    def test_nothing_is_lost_or_doubled(
        self, store: PeopleStore, where: Path | str
    ) -> None:
        """Each of four writers sends the same ten events and five of its own, one
        by one: each event is kept once, and exactly one writer is told it was new."""
        shared = [event("J.Doe", "J.Doe", key=UUID(int=at)) for at in range(10)]

        def write(writer: int) -> int:
            own = [
                event("J.Doe", "J.Doe", key=UUID(int=1000 * (writer + 1) + at))
                for at in range(5)
            ]
            with PeopleStore(where) as other:
                return sum(other.append(one) for one in shared + own)

        with ThreadPoolExecutor(WORKERS) as pool:
            new = sum(pool.map(write, range(WORKERS)))
        kept = store.events("J.Doe", "J.Doe")
        assert new == len(kept) == len({one.key for one in kept}) == 10 + WORKERS * 5

    def test_an_erasure_between_writers_is_final(
        self, store: PeopleStore, where: Path | str
    ) -> None:
        """Whoever comes before it is erased, whoever comes after it is refused."""

        def write(at: int) -> None:
            with PeopleStore(where) as other:
                if at == WORKERS:
                    other.erase("J.Doe", "J.Doe")
                    return
                try:
                    for _ in range(5):
                        other.append(event("J.Doe", "J.Doe", body={"who": "J.Doe"}))
                except PeopleError as error:
                    assert "not registered" in str(error)

        with ThreadPoolExecutor(WORKERS + 1) as pool:
            list(pool.map(write, range(WORKERS + 1)))
        store.register("J.Doe", {Role.LEARNER}, by="J.Doe")
        assert store.events("J.Doe", "C.Poe") == ()
