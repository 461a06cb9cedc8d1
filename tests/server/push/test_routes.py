"""The addresses of a push under bodies that no voicecheck would send."""

from __future__ import annotations

import gzip
import json
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from voicecheck.errors import JournalError
from voicecheck.server.push.routes import ROOT, Pushes, push_app
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.far_end import Asked, Have, Parcel, Receipt
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.push_wire import form_of
from voicecheck.store.transfer import transfer
from voicecheck.testing.pushing import JOURNAL, check_whole, walked

TOKEN = "AAAA-BBBB-CCCC-DDDD"
HEADERS = {"authorization": f"Bearer {TOKEN}"}
CHANGES = 10 * int(os.environ.get("VOICECHECK_FUZZ", "4"))
"""Changed pushes; more by the environment variable."""
SHA = "0" * 64
ID = "00000000-0000-4000-8000-000000000000"
AT = "2026-01-05T06:00:00.000Z"


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SqlFleet]:
    """Give an empty store, for the module: nothing hostile may be kept."""
    with open_fleet(tmp_path_factory.mktemp("far") / "far.sqlite3") as opened:
        yield opened


@pytest.fixture(scope="module")
def app(store: SqlFleet) -> Any:
    """Give the guarded application."""
    return push_app(Pushes(far_end=DatabaseFarEnd(store), tokens=(TOKEN,)))


@pytest.fixture(scope="module")
def client(app: Any) -> TestClient:
    """Give somebody who knows the token; an error of the server is raised here."""
    return TestClient(app, headers=HEADERS)


def walk(**more: Any) -> dict[str, Any]:
    """Return the form of a walk with one entry."""
    return {
        "kind": "walk",
        "walk_id": ID,
        "unit": "L-12",
        "operator": "",
        "checklist": "c",
        "checklist_version": "1",
        "checklist_sha256": SHA,
        "started_utc": AT,
        "after": {"seq": 0, "sha256": SHA},
        "entries": [{"at_utc": AT, "kind": "walk_started", "payload": "{}"}],
        "head_sha256": SHA,
        "record": None,
        **more,
    }


def event(**more: Any) -> dict[str, Any]:
    """Return the form of a defect with one event."""
    one = {
        "seq": 1,
        "at_utc": AT,
        "by": "J.Doe",
        "kind": "found",
        "payload": "{}",
        "previous": [],
        "sha256": SHA,
        **more,
    }
    return {"kind": "defect", "defect_id": ID, "events": [one]}


def unit(**more: Any) -> dict[str, Any]:
    """Return the form of a unit."""
    return {
        "kind": "unit",
        "unit": "L-12",
        "checklist": "c",
        "title": "",
        "place": "",
        "hour_meter_h": None,
        "hour_meter_utc": None,
        **more,
    }


ENTRY = {"at_utc": AT, "kind": "walk_started", "payload": "x"}
DEEP = "[" * 100_000
REFUSED: dict[str, dict[str, Any]] = {
    "empty payload": walk(),
    "deep payload": walk(entries=[{**ENTRY, "payload": DEEP}]),
    "no entries": walk(entries=[]),
    "entries after nothing": walk(after={"seq": 7, "sha256": SHA}),
    "far number": walk(after={"seq": 1_000_000, "sha256": SHA}, entries=[]),
    "record of nothing": walk(
        record={
            "content_sha256": SHA,
            "file_sha256": SHA,
            "status": "signed",
            "outcome": "may_work",
            "text": DEEP,
        }
    ),
    "unknown event": event(kind="blessed"),
    "deep event": event(payload=DEEP),
    "event without a past": event(previous=[SHA]),
    "path as a unit": unit(unit="../../etc"),
    "NUL in a unit": unit(unit="L\0"),
    "NUL in a title": unit(title="a\0b"),
    "no checklist": {"kind": "checklist", "text": "{}"},
    "deep checklist": {"kind": "checklist", "text": DEEP},
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_does_not_hold_is_refused_by_name(
    client: TestClient, store: SqlFleet, name: str
) -> None:
    """The form fits, what is in it does not: a receipt says so, nothing is kept."""
    body = {"format": "voicecheck-push/1", "parcels": [REFUSED[name]]}

    answer = client.post(f"{ROOT}parcels", json=body)

    assert answer.status_code == 200
    (receipt,) = answer.json()["receipts"]
    assert receipt["fate"] == "refused"
    assert receipt["why"]
    assert (store.walks(), store.units(), store.defects()) == ((), (), ())


DOES_NOT_FIT: dict[str, bytes] = {
    "nothing": b"",
    "no JSON": b"{",
    "deep": b"[" * 100_000,
    "long number": b"1" * 10_000,
    "not UTF-8": b'{"format": "\xff"}',
    "half a surrogate pair": rb'{"format": "\ud800"}',
    "a key of half a pair": rb'{"\ud800": 1}',
    "list": b"[]",
    "null": b"null",
    "no number": b'{"format": NaN}',
    **{
        name: json.dumps({"format": "voicecheck-push/1", "parcels": [one]}).encode()
        for name, one in {
            "unknown key": unit(more=1),
            "unknown kind": {"kind": "bomb"},
            "id": walk(walk_id="../x"),
            "upper case": walk(walk_id=ID.replace("4", "A")),
            "no time": walk(started_utc="2026-02-30T06:00:00.000Z"),
            "other time": walk(started_utc="2026-01-05T06:00:00+00:00"),
            "hash": walk(head_sha256="g" * 64),
            "number": walk(after={"seq": 2**63, "sha256": SHA}),
            "half a number": walk(after={"seq": 1.5, "sha256": SHA}),
            "negative": walk(after={"seq": -1, "sha256": SHA}),
            "long unit": unit(unit="x" * 65),
            "hours": unit(hour_meter_h=-1),
            "surrogate": unit(title="\ud800"),
            "no events": {"kind": "defect", "defect_id": ID, "events": []},
        }.items()
    },
    "infinite": json.dumps(
        {"format": "voicecheck-push/1", "parcels": [unit(hour_meter_h=float("inf"))]}
    ).encode(),
}


@pytest.mark.parametrize("name", DOES_NOT_FIT)
@pytest.mark.parametrize("packed", [False, True], ids=["plain", "packed"])
def test_what_does_not_fit_is_a_400_or_422(
    client: TestClient, name: str, packed: bool
) -> None:
    """With a sentence in JSON; never an error of the server."""
    body = DOES_NOT_FIT[name]
    headers = {"content-type": "application/json"}
    if packed:
        body, headers["content-encoding"] = gzip.compress(body), "gzip"

    answer = client.post(f"{ROOT}parcels", content=body, headers=headers)

    assert answer.status_code in {400, 422}
    assert answer.json()["error"]


def test_nothing_is_read_without_the_token(app: Any) -> None:
    """The addresses and their description alike."""
    stranger = TestClient(app)
    for path in ("have", "parcels", "conflicts", "openapi.json", "other"):
        for method in ("GET", "POST"):
            answer = stranger.request(method, f"{ROOT}{path}", content=b"x" * 1000)
            assert answer.status_code == 401


class Full:
    """A far end whose disk is full."""

    place = "full"

    def have(self, asked: Asked) -> Have:
        """Fail."""
        raise JournalError("the disk is full; make room, then carry on")


def test_a_store_that_cannot_be_used_is_a_503() -> None:
    """With its sentence, so that the device tries again and can say why."""
    full: Any = Full()
    client = TestClient(
        push_app(Pushes(far_end=full, tokens=(TOKEN,))), headers=HEADERS
    )

    answer = client.post(f"{ROOT}have", json={"format": "voicecheck-push/1"})

    assert answer.status_code == 503
    assert answer.json() == {"error": "the disk is full; make room, then carry on"}


def test_the_description_is_one(client: TestClient) -> None:
    """The forms of the three addresses as JSON Schemas that are valid."""
    document = client.get(f"{ROOT}openapi.json").json()

    assert set(document["paths"]) == {
        f"{ROOT}{name}" for name in ("have", "parcels", "conflicts")
    }
    for schema in document["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_no_request_breaks_the_server(app: Any, store: SqlFleet) -> None:
    """Requests made from the description: no answer that it does not name, no 5xx."""
    schema = schemathesis.openapi.from_asgi(f"{ROOT}openapi.json", app, headers=HEADERS)
    seen: Counter[tuple[str, int]] = Counter()

    for found in schema.get_all_operations():
        _ask(found.ok(), seen)

    print(sorted(seen.items()))
    assert {status for _, status in seen} <= {200, 400, 422}
    assert store.walks() == ()


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make an empty store, to be copied."""
    path = tmp_path_factory.mktemp("empty") / "far.sqlite3"
    open_fleet(path).close()
    return path


@pytest.fixture(scope="module")
def real(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """Give everything of a device as it is really sent."""
    folder = tmp_path_factory.mktemp("device")
    walked(folder, bad=True)
    sent: list[dict[str, Any]] = []
    with (
        open_fleet(folder / JOURNAL, folder=folder) as near,
        open_fleet(folder / "far.sqlite3") as far,
    ):
        transfer(near, Recording(DatabaseFarEnd(far), sent))
    return sent


class Recording:
    """A far end that writes down what is sent to it."""

    def __init__(self, far: DatabaseFarEnd, sent: list[dict[str, Any]]) -> None:
        self.place = far.place
        self.have = far.have
        self.conflicts = far.conflicts
        self._far = far
        self._sent = sent

    def take(self, parcels: Sequence[Parcel]) -> tuple[Receipt, ...]:
        """Give the parcels on; see `FarEnd.take`."""
        self._sent += [form_of(one).model_dump(mode="json") for one in parcels]
        return self._far.take(parcels)


VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["", SHA, ID, AT, "{}", "[]", "L-13", DEEP, "\ud800", "x\0"]),
    st.just([]),
    st.just({}),
)


@settings(max_examples=CHANGES, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_real_push_with_something_changed_breaks_nothing(
    real: list[dict[str, Any]], empty: Path, data: st.DataObject
) -> None:
    """One value anywhere in it is another one: no 5xx, and what is kept holds."""
    parcels = json.loads(json.dumps(real))
    place: Any = parcels
    while True:
        keys = list(place) if isinstance(place, dict) else range(len(place))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(place[key], dict | list) or not place[key]:
            break
        place = place[key]
    place[key] = data.draw(changed(place[key]) | VALUES)
    body = {"format": "voicecheck-push/1", "parcels": parcels}

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "far.sqlite3"
        shutil.copy(empty, path)
        with open_fleet(path) as far:
            pushes = Pushes(far_end=DatabaseFarEnd(far), tokens=(TOKEN,))
            answer = TestClient(push_app(pushes), headers=HEADERS).post(
                f"{ROOT}parcels",
                content=json.dumps(body).encode(),
                headers={"content-type": "application/json"},
            )
        check_whole(path)

    assert answer.status_code in {200, 422}
    if answer.status_code == 200:
        assert len(answer.json()["receipts"]) == len(real)


def changed(value: Any) -> st.SearchStrategy[Any]:
    """Return values a little beside a text."""
    if not isinstance(value, str) or not value:
        return st.nothing()
    places = st.integers(min_value=0, max_value=len(value) - 1)
    return places.map(lambda at: value[:at] + value[at + 1 :]) | places.map(
        lambda at: value[:at] + chr(ord(value[at]) ^ 1) + value[at + 1 :]
    )


def _ask(operation: Any, seen: Counter[tuple[str, int]]) -> None:
    @given(case=operation.as_strategy())
    @settings(
        max_examples=15,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def check(case: Any) -> None:
        answer = case.call(headers=HEADERS)
        seen[(operation.label, answer.status_code)] += 1
        assert answer.status_code < 500
        named = set(operation.definition.raw["responses"])
        assert str(answer.status_code) in named

    check()
