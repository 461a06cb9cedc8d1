"""The HTTP interface under requests made from its own description.

schemathesis (https://schemathesis.readthedocs.io) reads the OpenAPI document and
makes requests that fit it and requests that do not.
"""

from __future__ import annotations

import os
from collections import Counter
from typing import TYPE_CHECKING, Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings

from voicecheck.testing.browsing import Browsing, Forms

if TYPE_CHECKING:
    from conftest import Place

EXAMPLES = int(os.environ.get("VOICECHECK_FUZZ", "4"))
"""Requests for each address; more by the environment variable."""
HOSTS = frozenset({"testserver", "localhost", "127.0.0.1"})


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_no_request_breaks_the_server(place: Place) -> None:
    """Every answer is one that the description names, and none is a 5xx."""
    app = place.start(host_names=HOSTS)
    visitor = Browsing(app)
    walk_id = visitor.begin("L-12", "short-walk")
    token = Forms(visitor.text).found[0][1]["form_token"]
    cookie = "; ".join(f"{c.name}={c.value}" for c in visitor.client.cookies.jar)
    schema = schemathesis.openapi.from_asgi(
        "/openapi.json", app, headers={"cookie": cookie}
    )
    seen: Counter[tuple[str, int]] = Counter()

    for found in schema.get_all_operations():
        _ask(found.ok(), walk_id, token, cookie, seen)

    print(sorted(seen.items()))
    addresses = {label for label, _ in seen}
    assert len(addresses) >= 15
    assert sum(seen.values()) >= len(addresses)


def _ask(
    operation: Any,
    walk_id: str,
    token: str,
    cookie: str,
    seen: Counter[tuple[str, int]],
) -> None:
    """Send requests to one address; half real, so that they reach its inside."""

    @given(case=operation.as_strategy())
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def check(case: Any) -> None:
        if isinstance(case.body, dict):
            case.body["form_token"] = token
        if "walk_id" in (case.path_parameters or {}) and "live" not in case.path:
            case.path_parameters["walk_id"] = walk_id
        answer = case.call(headers={"cookie": cookie})
        seen[(operation.label, answer.status_code)] += 1
        assert answer.status_code < 500
        named = set(operation.definition.raw["responses"]) | {"200", "405"}
        assert str(answer.status_code) in named

    check()
