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

from voicecheck.round.answers import Defect, Fault, Severity
from voicecheck.testing.browsing import Browsing, Forms
from voicecheck.testing.observing import ASSESSOR, TRAINEE, begin_watching

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
    observation = _watching(place, visitor)
    token = Forms(visitor.open("/walks/new")).found[0][1]["form_token"]
    cookie = "; ".join(f"{c.name}={c.value}" for c in visitor.client.cookies.jar)
    schema = schemathesis.openapi.from_asgi(
        "/openapi.json", app, headers={"cookie": cookie}
    )
    seen: Counter[tuple[str, int]] = Counter()

    real = {"walk_id": walk_id, "observation": observation}
    real |= {"trainee": TRAINEE, "learner": TRAINEE}
    operations = [found.ok() for found in schema.get_all_operations()]
    # whoever has signed out sees nothing more
    for operation in sorted(operations, key=lambda one: "sign-out" in one.path):
        _ask(operation, real, token, cookie, seen)

    print(sorted(seen.items()))
    addresses = {label for label, _ in seen}
    assert len(addresses) >= 15
    assert sum(seen.values()) >= len(addresses)


def _watching(place: Place, visitor: Browsing) -> str:
    """Begin an observation and sign its assessor in; return its id."""
    point = next(p.id for p in place.checklist.checkpoints if p.kind == "condition")
    watching = begin_watching(
        place.people,
        place.home,
        place.clock,
        checklist=place.home / "short-walk.toml",
        planted={point: Defect(fault=Fault.LOOSE, severity=Severity.MAJOR)},
    )
    visitor.open("/people/sign-in")
    code = watching.codes[ASSESSOR]
    visitor.send("/people/sign-in", who=ASSESSOR, code=code)
    return str(watching.observation)


def _ask(
    operation: Any,
    real: dict[str, str],
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
        if isinstance(case.body, dict) and case.media_type != "application/json":
            case.body["form_token"] = token
        for name in set(case.path_parameters or {}) & set(real):
            if "live" not in case.path:
                case.path_parameters[name] = real[name]
        answer = case.call(headers={"cookie": cookie, "form-token": token})
        seen[(operation.label, answer.status_code)] += 1
        assert answer.status_code < 500
        named = set(operation.definition.raw["responses"]) | {"200", "405"}
        assert str(answer.status_code) in named

    check()
