"""Repairs and releases under requests made from the server's own description.

As in `test_fuzz`, by schemathesis; here with real defects and units, so that some
requests get through, and with what must hold of a defect's story after each.
"""

from __future__ import annotations

import os
from collections import Counter
from itertools import cycle
from typing import TYPE_CHECKING, Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings

from voicecheck.defects.events import RepairChecked, RepairDone, UnitReleased
from voicecheck.defects.hold import seen_mark
from voicecheck.defects.story import Defect
from voicecheck.testing.browsing import Browsing, Forms

if TYPE_CHECKING:
    from conftest import Place

EXAMPLES = int(os.environ.get("VOICECHECK_FUZZ", "8"))
"""Requests for each address; more by the environment variable."""
HOSTS = frozenset({"testserver", "localhost", "127.0.0.1"})
USUAL = {"by": "M.Roe", "done": "new", "hours": "1", "good": "yes", "sure": "yes"}
PATHS = ("/defects/{defect_id}", "/units/{unit}/release", "/units/{unit}/tag")


@pytest.mark.slow
@pytest.mark.usefixtures("found")
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_no_request_frees_a_machine_without_a_release(place: Place) -> None:
    """Every answer is one that is described; no story says more than was written."""
    app = place.start(host_names=HOSTS)
    visitor = Browsing(app)
    visitor.open("/walks/new")
    token = Forms(visitor.text).found[0][1]["form_token"]
    cookie = "; ".join(f"{c.name}={c.value}" for c in visitor.client.cookies.jar)
    schema = schemathesis.openapi.from_asgi(
        "/openapi.json", app, headers={"cookie": cookie}
    )
    every = [found.ok() for found in schema.get_all_operations()]
    operations = [one for one in every if one.path.startswith(PATHS)]
    [first] = place.fleet.defects()
    seen: Counter[tuple[str, int]] = Counter()

    for _ in range(2):
        for operation in operations:
            _ask(place, operation, first.defect_id, (token, cookie), seen)

    print(sorted(seen.items()))
    assert len({label for label, _ in seen}) == 7
    written = {label for label, status in seen if status == 303}
    forms = {one.label for one in operations if one.method.upper() == "POST"}
    assert len(forms) == 4
    assert forms <= written


def _ask(
    place: Place,
    operation: Any,
    defect_id: str,
    passes: tuple[str, str],
    seen: Counter[tuple[str, int]],
) -> None:
    token, cookie = passes

    turns = cycle((True, False))

    @given(case=operation.as_strategy())
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def check(case: Any) -> None:
        real = next(turns)
        case.path_parameters.update(
            {
                name: value
                for name, value in (("defect_id", defect_id), ("unit", "L-1"))
                if name in case.path_parameters and real
            }
        )
        if isinstance(case.body, dict):
            case.body["form_token"] = token
            if real:
                _fill(case.body, place.fleet.defect(defect_id).defect)
        answer = case.call(headers={"cookie": cookie}, allow_redirects=False)
        seen[(operation.label, answer.status_code)] += 1
        assert answer.status_code < 500
        named = set(operation.definition.raw["responses"]) | {"200", "405"}
        assert str(answer.status_code) in named
        _holds(place, defect_id)

    check()


def _fill(body: dict[str, Any], defect: Defect) -> None:
    """Put what a page would hold and a person would type into the fields."""
    body.update(USUAL, seen=seen_mark((defect,)))


def _holds(place: Place, defect_id: str) -> None:
    """What is free was repaired, checked and released, in this order, by somebody."""
    found = place.fleet.defect(defect_id)
    assert all(one.by.strip() for one in found.story)
    if found.defect.holding:
        return
    kinds = [type(one.event) for one in found.story]
    release = len(kinds) - 1 - kinds[::-1].index(UnitReleased)
    check = max(i for i, kind in enumerate(kinds[:release]) if kind is RepairChecked)
    assert RepairDone in kinds[:check]
